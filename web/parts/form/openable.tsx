import type { ComponentChildren } from 'preact'
import { useState } from 'preact/hooks'

interface OpenableProps {
  readonly title: string
  readonly children: () => ComponentChildren
}

/** A form that is there only while it is open: it holds what was typed until it is closed. */
export const Openable = ({ title, children }: OpenableProps) => {
  const [open, setOpen] = useState(false)
  return (
    <details
      open={open}
      onToggle={(event) => event.target === event.currentTarget && setOpen(event.currentTarget.open)}
    >
      <summary>{title}</summary>
      {open && children()}
    </details>
  )
}
