import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'

const top = join(dirname(fileURLToPath(import.meta.url)), '../..')

export interface WebBuild {
  readonly root: string
  readonly remove: () => Promise<void>
}

/**
 * The screens as they are in the source now, built into a folder of their own: test files run side by side,
 * and a build that one of them empties must not be the one another serves.
 */
export const buildWeb = async (): Promise<WebBuild> => {
  const root = await mkdtemp(join(tmpdir(), 'spargewatch-web-'))
  await build({
    configFile: join(top, 'vite.config.ts'),
    root: join(top, 'web'),
    logLevel: 'warn',
    build: { outDir: root, emptyOutDir: true },
  })
  return { root, remove: () => rm(root, { recursive: true, force: true }) }
}
