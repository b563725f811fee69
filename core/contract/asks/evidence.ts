export const evidenceAsks = {} as const;
