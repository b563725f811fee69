export const recordsAsks = {} as const;
