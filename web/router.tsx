import type { ComponentChildren } from 'preact'
import { useEffect, useState } from 'preact/hooks'

const MOVED = 'spargewatch:moved'

export const go = (path: string): void => {
  history.pushState(null, '', path)
  window.dispatchEvent(new Event(MOVED))
  window.scrollTo(0, 0)
}

export const usePath = (): string => {
  const [path, setPath] = useState(location.pathname)
  useEffect(() => {
    const look = () => setPath(location.pathname)
    window.addEventListener('popstate', look)
    window.addEventListener(MOVED, look)
    return () => {
      window.removeEventListener('popstate', look)
      window.removeEventListener(MOVED, look)
    }
  }, [])
  return path
}

interface LinkProps {
  readonly to: string
  readonly class?: string
  readonly current?: boolean
  readonly children: ComponentChildren
}

/** A real link (open in a new tab, copy) that changes the screen without loading the page again. */
export const Link = ({ to, current, children, ...rest }: LinkProps) => (
  <a
    {...rest}
    href={to}
    aria-current={current === true ? 'page' : undefined}
    onClick={(event) => {
      if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return
      event.preventDefault()
      go(to)
    }}
  >
    {children}
  </a>
)
