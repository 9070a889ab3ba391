import { isDeepStrictEqual } from 'node:util'
import { parse, parseDocument } from 'yaml'
import { type Edit, editsOf } from './edits.ts'
import { spliced } from './splice-yaml.ts'

/**
 * The text changed so that it says what is `given` (plain data), and every other byte as it was: comments, order, spacing. What cannot be
 * cut in (an alias, the only key of a map, ...) makes the whole text be written anew by the YAML library, which keeps comments
 * and order but not spacing.
 */
export const patchYaml = (text: string, given: unknown): string => {
  const wanted: unknown = JSON.parse(JSON.stringify(given))
  const edits = editsOf(parse(text), wanted)
  const patched = edits.reduce<string | undefined>(
    (so, edit) => (so === undefined ? undefined : spliced(so, edit)),
    text,
  )
  return patched !== undefined && says(patched, wanted) ? patched : rewritten(text, edits)
}

const says = (text: string, wanted: unknown): boolean => {
  try {
    return isDeepStrictEqual(parse(text), wanted)
  } catch {
    return false
  }
}

const rewritten = (text: string, edits: readonly Edit[]): string => {
  const document = parseDocument(text)
  for (const edit of edits) {
    switch (edit.do) {
      case 'set':
        document.setIn(edit.path, edit.value)
        break
      case 'add':
        document.setIn([...edit.path, edit.key], edit.value)
        break
      case 'append':
        document.addIn(edit.path, document.createNode(edit.value))
        break
      case 'remove':
        document.deleteIn(edit.path)
    }
  }
  return document.toString({ lineWidth: 0 })
}
