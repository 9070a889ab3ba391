import { execFileSync, spawnSync } from 'node:child_process'
import { closeSync, mkdtempSync, openSync, rmdirSync, rmSync, writeSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

/** A disk that can be filled: a file system in memory, which only root may mount. */
export interface SmallDisk {
  readonly folder: string
  /** Takes the last free byte. */
  fill(): void
  makeRoom(): void
}

const mount = (folder: string, megabytes: number): boolean =>
  spawnSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m,mode=700`, 'tmpfs', folder]).status === 0

export const canMount = ((): boolean => {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) return false
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-disk-'))
  const done = mount(folder, 1)
  if (done) execFileSync('umount', [folder])
  rmdirSync(folder)
  return done
})()

export const smallDisk = (megabytes: number): SmallDisk => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-disk-'))
  if (!mount(folder, megabytes)) throw new Error(`no disk of ${megabytes} MB could be mounted`)
  onTestFinished(() => {
    execFileSync('umount', ['--lazy', folder])
    rmdirSync(folder)
  })
  const filler = join(folder, 'filler')
  return {
    folder,
    fill: () => {
      const file = openSync(filler, 'a')
      try {
        for (let size = 1024 * 1024; size >= 1; ) {
          try {
            // a full disk takes a part of it, then nothing
            if (writeSync(file, Buffer.alloc(size)) < size) size = Math.floor(size / 2)
          } catch {
            size = Math.floor(size / 2)
          }
        }
      } finally {
        closeSync(file)
      }
    },
    makeRoom: () => rmSync(filler),
  }
}
