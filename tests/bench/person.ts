/** A key of a person who types forty words a minute: Card, Moran and Newell, Comm. ACM 23 (1980) 396; from memory, unverified. */
export const keyS = 0.28;
