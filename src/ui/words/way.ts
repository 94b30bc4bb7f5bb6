const ways = ["right", "down and right", "down", "down and left", "left", "up and left", "up", "up and right"];

/** A direction in the picture in words: x right, y down. */
export const way = (direction: readonly [number, number]): string =>
  ways[((Math.round(Math.atan2(direction[1], direction[0]) / (Math.PI / 4)) % 8) + 8) % 8]!;
