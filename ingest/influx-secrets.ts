import { existsSync } from 'node:fs'
import { z } from 'zod'
import type { InfluxTarget } from './config-influx.ts'
import { secretsFault as invalid, readSecretsFile } from './secrets-file.ts'

/** How to prove to the server who writes. */
export type InfluxCredentials =
  | { readonly kind: 'none' }
  | { readonly kind: 'token'; readonly token: string }
  | { readonly kind: 'password'; readonly user: string; readonly password: string }

const text = z.string().min(1)
const schema = z.union([z.strictObject({ token: text }), z.strictObject({ user: text, password: text })])

/** Reads and checks the secrets of a target. What is in the file is never part of a message. */
export const readInfluxSecrets = (target: InfluxTarget): InfluxCredentials => {
  const { secretsFile: path, version, caFile } = target
  if (caFile !== null && !existsSync(caFile))
    throw invalid(caFile, 'does not exist: it is store.influx.ca_file')
  if (!existsSync(path)) {
    if (version === 2) throw invalid(path, 'does not exist: InfluxDB 2 needs a token in it')
    return { kind: 'none' }
  }
  const parsed = schema.safeParse(readSecretsFile(path))
  if (!parsed.success) throw invalid(path, 'needs either token, or user and password, and nothing else')
  if ('token' in parsed.data) {
    if (version === 1) throw invalid(path, 'has a token: InfluxDB 1 needs user and password')
    return { kind: 'token', token: parsed.data.token }
  }
  if (version !== 1) throw invalid(path, `has a password: InfluxDB ${version} needs a token`)
  return { kind: 'password', ...parsed.data }
}
