export const thresholdTable = {
  lengths: [2, 512],
  series: {
    held: { slow: [9, 5.5], step: [9, 5.5], pop: [9, 5.5] },
    camera: { slow: [9, 5.5], step: [9, 5.5], pop: [9, 5.5] },
    light: { slow: [9, 5.5], step: [9, 5.5], pop: [9, 5.5] },
    shape: { slow: [9, 5.5], step: [9, 5.5], pop: [9, 5.5] },
  },
} as const;
