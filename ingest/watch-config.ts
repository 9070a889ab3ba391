import { statSync } from 'node:fs'
import { configFile, type IngestConfig, readIngestConfig } from './config.ts'
import { messageOf } from './errors.ts'

export interface ConfigWatcher {
  readonly onChange: (config: IngestConfig) => void
  /** The file has faults: what was in force stays so. */
  readonly onFault: (why: string) => void
}

const LOOK_EVERY_MS = 2000

/**
 * Looks at the wiring file every two seconds: polling sees an editor that replaces the file, a network folder and a
 * mounted volume alike. Returns a function that ends it.
 */
export const watchConfig = (home: string, { onChange, onFault }: ConfigWatcher): (() => void) => {
  const path = configFile(home)
  let seen = stampOf(path)
  const look = () => {
    const stamp = stampOf(path)
    if (stamp === seen) return
    seen = stamp
    let config: IngestConfig
    try {
      config = readIngestConfig(home)
    } catch (error) {
      onFault(messageOf(error))
      return
    }
    onChange(config)
  }
  const timer = setInterval(look, LOOK_EVERY_MS)
  return () => clearInterval(timer)
}

const stampOf = (path: string): string => {
  try {
    const { mtimeMs, size, ino } = statSync(path)
    return `${mtimeMs}/${size}/${ino}`
  } catch (error) {
    return messageOf(error)
  }
}
