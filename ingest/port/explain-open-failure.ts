import { execFileSync } from 'node:child_process'
import { statSync } from 'node:fs'
import { userInfo } from 'node:os'

/** Why a device did not open, and what a person can do about it. */
export const explainOpenFailure = (path: string, error: Error): string => {
  const text = error.message
  if (/EACCES|permission denied|access denied/i.test(text))
    return `${path} may not be opened by ${userInfo().username}: ${permissionFix(path)}`
  if (/EBUSY|lock|resource busy|temporarily unavailable/i.test(text))
    return `${path} is in use by another program: close that program, then wait a moment`
  if (/ENOENT|no such file|cannot find/i.test(text))
    return `${path} is not there: plug the adapter in, or run "spargewatch ports" to see what is`
  return `${path} did not open: ${text}`
}

const permissionFix = (path: string): string => {
  if (process.platform !== 'linux') return 'give this user access to the port in the system settings'
  const group = groupOf(path)
  return `join the group that owns it: sudo usermod -aG ${group} ${userInfo().username}, then sign out and in again`
}

const groupOf = (path: string): string => {
  try {
    const gid = statSync(path).gid
    return execFileSync('getent', ['group', String(gid)], { encoding: 'utf8' }).split(':')[0] || 'dialout'
  } catch {
    return 'dialout'
  }
}
