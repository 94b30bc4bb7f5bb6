const days = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];

/** "Tuesday 15:52" from the camera's own local time "2026-03-03T15:52:10"; null where there is none. */
export function timeOfDay(time: string | null): string | null {
  const found = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}:\d{2})/u.exec(time ?? "");
  if (!found) return null;
  const day = new Date(Date.UTC(Number(found[1]), Number(found[2]) - 1, Number(found[3]))).getUTCDay();
  return `${days[day]} ${found[4]}`;
}
