export const retestAsks = {} as const;
