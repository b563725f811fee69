export const planAsks = {} as const;
