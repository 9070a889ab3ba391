import { isDeepStrictEqual } from 'node:util'

export type Path = readonly (string | number)[]

/** One change of a tree of maps, lists and scalars. `path` is that of the value; for `add` and `append` of what it goes into. */
export type Edit =
  | { readonly do: 'set'; readonly path: Path; readonly value: unknown }
  | { readonly do: 'add'; readonly path: Path; readonly key: string; readonly value: unknown }
  | { readonly do: 'append'; readonly path: Path; readonly value: unknown }
  | { readonly do: 'remove'; readonly path: Path }

/** What turns one tree into the other, in an order in which the paths stay right. */
export const editsOf = (from: unknown, to: unknown, path: Path = []): Edit[] => {
  if (isDeepStrictEqual(from, to)) return []
  if (isMap(from) && isMap(to)) return editsOfMap(from, to, path)
  if (Array.isArray(from) && Array.isArray(to)) {
    const edits = editsOfList(from, to, path)
    if (edits !== undefined) return edits
  }
  return [{ do: 'set', path, value: to }]
}

type Tree = Readonly<Record<string, unknown>>

const isMap = (value: unknown): value is Tree =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

const editsOfMap = (from: Tree, to: Tree, path: Path): Edit[] => [
  ...Object.keys(from).flatMap((key): Edit[] =>
    key in to ? editsOf(from[key], to[key], [...path, key]) : [],
  ),
  // before what goes, so that no map is empty meanwhile
  ...Object.keys(to).flatMap((key): Edit[] =>
    key in from ? [] : [{ do: 'add', path, key, value: to[key] }],
  ),
  ...Object.keys(from).flatMap((key): Edit[] => (key in to ? [] : [{ do: 'remove', path: [...path, key] }])),
]

/** Items that say who they are keep their place; undefined when they would have to change it. */
const editsOfList = (from: readonly unknown[], to: readonly unknown[], path: Path): Edit[] | undefined => {
  const [before, after] = [from.map(nameOf), to.map(nameOf)]
  if ([...before, ...after].includes(undefined)) return undefined
  if (new Set(before).size < before.length || new Set(after).size < after.length) return undefined
  const kept = before.filter((name) => after.includes(name))
  const added = to.filter((_, i) => !before.includes(after[i]))
  const isInOrder = isDeepStrictEqual(after, [...kept, ...added.map(nameOf)])
  if (!isInOrder) return undefined
  const gone = before.flatMap((name, i) => (after.includes(name) ? [] : [i])).reverse()
  return [
    ...from.flatMap((item, i) => {
      const at = after.indexOf(before[i])
      return at < 0 ? [] : editsOf(item, to[at], [...path, i])
    }),
    ...added.map((value): Edit => ({ do: 'append', path, value })),
    ...gone.map((i): Edit => ({ do: 'remove', path: [...path, i] })),
  ]
}

const nameOf = (item: unknown): string | undefined => {
  const name = isMap(item) ? (item['id'] ?? item['channel']) : undefined
  return typeof name === 'string' ? name : undefined
}
