/** What a plan can choose for a segment. Doing nothing is having no item; a test first is advised beside the plan. */
export const ACTIONS = ['replace', 'fluid_injection', 'splice_renewal'] as const;
export type ActionKind = (typeof ACTIONS)[number];

/** What is written in a plan: work that shares its mobilisation with a neighbour of the feeder says so. */
export type PlannedAction = ActionKind | 'replace_with_neighbours';
