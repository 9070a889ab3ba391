import { readFileSync } from 'node:fs'

const LOOK_EVERY_MS = 500

/** Calls back when the process that started this one has gone, however it went (`kill -9` of npm included). */
export const onParentGone = (callback: () => void): (() => void) => {
  const parent = process.ppid
  const grandparent = shellParent(parent)
  const timer = setInterval(() => {
    if (process.ppid !== parent || (grandparent !== undefined && shellParent(parent) !== grandparent))
      callback()
  }, LOOK_EVERY_MS)
  timer.unref()
  return () => clearInterval(timer)
}

/** npm runs scripts through a shell, which outlives npm: on Linux the shell's own parent is watched too. */
const shellParent = (pid: number): number | undefined => {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
    const name = stat.slice(stat.indexOf('(') + 1, stat.lastIndexOf(')'))
    if (!/^(sh|dash|bash)$/.test(name)) return undefined
    const command = readFileSync(`/proc/${pid}/cmdline`, 'utf8')
    // an interactive shell is where a person typed the command: its parent is none of our business
    if (!command.includes('\0-c\0')) return undefined
    return Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[1])
  } catch {
    return undefined
  }
}
