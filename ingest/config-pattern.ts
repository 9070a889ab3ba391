import { RE2JS } from 're2js'
import { messageOf } from './errors.ts'

/** Names of the groups of a pattern, or why it does not compile. */
export const groupsOf = (
  pattern: string,
): { readonly names: readonly string[] } | { readonly why: string } => {
  try {
    return { names: Object.keys(RE2JS.compile(pattern).namedGroups()) }
  } catch (error) {
    return { why: messageOf(error) }
  }
}
