import { readFileSync, statSync } from 'node:fs'
import { parse } from 'yaml'
import { IngestError } from './errors.ts'

const OTHERS = 0o077

/** Content of a file of secrets that exists; nobody but its owner may read it. What is in it is never part of a message. */
export const readSecretsFile = (path: string): unknown => {
  if (process.platform !== 'win32' && (statSync(path).mode & OTHERS) !== 0)
    throw secretsFault(path, 'may be read by others than its owner: chmod 600 it')
  try {
    return parse(readFileSync(path, 'utf8'), { logLevel: 'error' })
  } catch {
    // a parser's message quotes the text it stumbles over
    throw secretsFault(path, 'cannot be read as YAML')
  }
}

export const secretsFault = (path: string, why: string): IngestError =>
  new IngestError('secrets-invalid', `${path} ${why}`, { path })
