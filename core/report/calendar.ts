/** Calendars as RFC 5545 asks for them: whole-day events that a crew's calendar program can take up. */

export interface CalendarEvent {
  /** Stable: the same test keeps it, whenever the file is written again. */
  readonly uid: string;
  /** ISO day. */
  readonly day: string;
  readonly summary: string;
  readonly location: string;
  readonly description: string;
  readonly categories: readonly string[];
}

/** TEXT of RFC 5545, 3.3.11: backslash, semicolon, comma and line break are escaped, other control characters left out. */
const text = (plain: string): string =>
  plain
    .replace(/\\/g, '\\\\')
    .replace(/[;,]/g, '\\$&')
    .replace(/\r\n|\r|\n/g, '\\n')
    // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not stand there
    .replace(/[\u0000-\u0008\u000b-\u001f\u007f]/g, '');

const mostOctets = 75;

/** Folds a content line so that no line is longer than 75 octets without its break, and no character is cut (3.1). */
function folded(line: string): string {
  const bytes = new TextEncoder().encode(line);
  if (bytes.length <= mostOctets) return line;
  const decoder = new TextDecoder();
  const parts: string[] = [];
  let from = 0;
  while (from < bytes.length) {
    // A continued line begins with a space, which counts.
    let to = Math.min(bytes.length, from + mostOctets - (from === 0 ? 0 : 1));
    while (to < bytes.length && (bytes[to]! & 0xc0) === 0x80) to--;
    parts.push(decoder.decode(bytes.subarray(from, to)));
    from = to;
  }
  return parts.join('\r\n ');
}

const compact = (iso: string): string => iso.replace(/[-:]/g, '').replace(/\.\d+/, '');
const dayAfter = (day: string): string => new Date(Date.parse(day) + 86_400_000).toISOString().slice(0, 10);

/** An iCalendar object. `madeAt` (ISO 8601 UTC) is the DTSTAMP of every event; `sequence` must rise with every revision. */
export function calendarText(
  events: readonly CalendarEvent[],
  { name, madeAt, sequence }: { name: string; madeAt: string; sequence: number },
): string {
  const stamp = compact(madeAt);
  const lines = [
    'BEGIN:VCALENDAR',
    'VERSION:2.0',
    'PRODID:-//Cable Yearbook//Retests due//EN',
    'CALSCALE:GREGORIAN',
    'METHOD:PUBLISH',
    `X-WR-CALNAME:${text(name)}`,
    ...events.flatMap((event) => [
      'BEGIN:VEVENT',
      `UID:${text(event.uid)}`,
      `DTSTAMP:${stamp}`,
      `DTSTART;VALUE=DATE:${compact(event.day)}`,
      `DTEND;VALUE=DATE:${compact(dayAfter(event.day))}`,
      `SEQUENCE:${sequence}`,
      `SUMMARY:${text(event.summary)}`,
      ...(event.location === '' ? [] : [`LOCATION:${text(event.location)}`]),
      `DESCRIPTION:${text(event.description)}`,
      ...(event.categories.length === 0 ? [] : [`CATEGORIES:${event.categories.map(text).join(',')}`]),
      'TRANSP:TRANSPARENT',
      'END:VEVENT',
    ]),
    'END:VCALENDAR',
  ];
  return lines.map((line) => `${folded(line)}\r\n`).join('');
}
