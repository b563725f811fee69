import type { FrameRow } from '../store/browse.ts';
import { pack, unpack } from './pack.ts';

const letters = 36;
/** Stands between two names; none holds it. */
const between = '\0';
/** Of a value that is not known. */
const none = -1;

type Place = Pick<FrameRow, 'feederId' | 'feederName' | 'substationId' | 'substationName'>;

interface Words {
  readonly places: readonly Place[];
  readonly insulations: readonly string[];
  readonly days: readonly string[];
}

/** Values that come again and again, each held once. */
class Once<T> {
  readonly values: T[] = [];
  readonly #at = new Map<string, number>();

  indexOf(key: string | null, value: () => T): number {
    if (key === null) return none;
    let at = this.#at.get(key);
    if (at === undefined) {
      at = this.values.push(value()) - 1;
      this.#at.set(key, at);
    }
    return at;
  }
}

const bytesOf = (text: string): Uint8Array => new Uint8Array(Buffer.from(text));

/** The rows of the frame in one block of bytes: read in a tenth of the time that the tables take. Null where a name cannot be told from the next. */
export function packRows(rows: readonly FrameRow[]): Uint8Array | null {
  if (rows.some(({ id, ownerId, name }) => id.length !== letters || `${ownerId}${name}`.includes(between))) return null;
  const places = new Once<Place>();
  const insulations = new Once<string>();
  const days = new Once<string>();
  const day = (on: string | null) => days.indexOf(on, () => on!);
  const columns = {
    ids: bytesOf(rows.map(({ id }) => id).join('')),
    ownerIds: bytesOf(rows.map(({ ownerId }) => ownerId).join(between)),
    names: bytesOf(rows.map(({ name }) => name).join(between)),
    place: Int32Array.from(rows, ({ feederId, feederName, substationId, substationName }) =>
      places.indexOf(feederId, () => ({ feederId, feederName, substationId, substationName })),
    ),
    insulation: Int32Array.from(rows, ({ insulation }) => insulations.indexOf(insulation, () => insulation)),
    ratedKv: Float64Array.from(rows, ({ ratedKv }) => ratedKv ?? Number.NaN),
    lengthM: Float64Array.from(rows, ({ lengthM }) => lengthM),
    energised: Int32Array.from(rows, ({ energisedOn }) => day(energisedOn)),
    retired: Int32Array.from(rows, ({ retiredOn }) => day(retiredOn)),
  };
  const words: Words = { places: places.values, insulations: insulations.values, days: days.values };
  return pack(words, columns);
}

export function unpackRows(bytes: Uint8Array): FrameRow[] {
  const { plain, columns } = unpack(bytes);
  const { places, insulations, days } = plain as Words;
  const { ids, ownerIds, names, place, insulation, ratedKv, lengthM, energised, retired } = columns;
  const textOf = (column: typeof ids) => Buffer.from(column!.buffer, column!.byteOffset, column!.byteLength).toString();
  const id = textOf(ids);
  const owner = textOf(ownerIds).split(between);
  const name = textOf(names).split(between);
  const rows: FrameRow[] = new Array(place!.length);
  for (let i = 0; i < rows.length; i++) {
    const { feederId, feederName, substationId, substationName } = places[place![i]!]!;
    const kv = ratedKv![i]!;
    rows[i] = {
      id: id.slice(i * letters, (i + 1) * letters),
      ownerId: owner[i]!,
      name: name[i]!,
      feederId,
      feederName,
      substationId,
      substationName,
      insulation: insulations[insulation![i]!]!,
      ratedKv: Number.isNaN(kv) ? null : kv,
      lengthM: lengthM![i]!,
      energisedOn: days[energised![i]!] ?? null,
      retiredOn: days[retired![i]!] ?? null,
    };
  }
  return rows;
}
