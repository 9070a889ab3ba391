import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import type { Problem } from '../server/wire.ts'

export type Answer<T> =
  | { readonly kind: 'answer'; readonly value: T }
  | { readonly kind: 'problem'; readonly problem: Problem }

export const get = <T>(path: string): Promise<Answer<T>> => ask<T>(path, undefined)

export const post = <T>(path: string, body: unknown): Promise<Answer<T>> => ask<T>(path, body)

const ask = async <T>(path: string, body: unknown): Promise<Answer<T>> => {
  try {
    const response = await fetch(path, {
      ...(body === undefined ? {} : { method: 'POST', body: JSON.stringify(body) }),
      headers: body === undefined ? {} : { 'content-type': 'application/json' },
      signal: AbortSignal.timeout(10_000),
    })
    const value: unknown = await response.json()
    return response.ok
      ? { kind: 'answer', value: value as T }
      : { kind: 'problem', problem: asProblem(value, response.status) }
  } catch {
    return { kind: 'problem', problem: NO_ANSWER }
  }
}

/** Status 0: nothing is known about whether the server took it, so the same id must be sent again. */
export const NO_ANSWER: Problem = {
  type: 'about:blank',
  title: 'No answer',
  status: 0,
  detail: 'The server did not answer.',
  fix: 'Check the connection of this screen and try again; trying again never enters a thing twice.',
}

const asProblem = (value: unknown, status: number): Problem =>
  typeof value === 'object' && value !== null && 'detail' in value
    ? (value as Problem)
    : { type: 'about:blank', title: 'Refused', status, detail: `The server answered with status ${status}.` }

export type Asked<T> =
  | { readonly kind: 'asking' }
  | { readonly kind: 'problem'; readonly problem: Problem }
  | { readonly kind: 'answer'; readonly value: T }

/** Asks when `path` changes and when `again` is called or `version` moves; keeps the last answer meanwhile. */
export const useAsked = <T>(path: string | null, version: unknown = 0): [Asked<T>, () => void] => {
  const [asked, setAsked] = useState<Asked<T>>({ kind: 'asking' })
  const [round, setRound] = useState(0)
  const shownPath = useRef<string | null>(null)
  useEffect(() => {
    let wanted = true
    if (shownPath.current !== path) setAsked({ kind: 'asking' })
    shownPath.current = path
    if (path === null) return
    void get<T>(path).then((answer) => {
      if (wanted) setAsked(answer)
    })
    return () => {
      wanted = false
    }
  }, [path, version, round])
  return [asked, useCallback(() => setRound((n) => n + 1), [])]
}
