import { readdirSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'

const top = join(dirname(fileURLToPath(import.meta.url)), '../..')

export const WEB_ROOT = join(top, 'dist/web')

/** Builds the screens when there is no build or a source is newer than it. */
export const buildWebIfOld = async (): Promise<void> => {
  if (newest(WEB_ROOT) > newest(join(top, 'web'))) return
  await build({ configFile: join(top, 'vite.config.ts'), root: join(top, 'web'), logLevel: 'warn' })
}

const newest = (folder: string): number => {
  try {
    const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((f) => f.isFile())
    return Math.max(0, ...files.map((f) => statSync(join(f.parentPath, f.name)).mtimeMs))
  } catch {
    return 0
  }
}
