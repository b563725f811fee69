export const finderId = 'finder';

/** Puts the caret into the finder of the header. */
export function focusFinder(): void {
  const input = document.getElementById(finderId);
  if (input instanceof HTMLInputElement) {
    input.focus();
    input.select();
  }
}
