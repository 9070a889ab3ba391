import type { ComponentChildren } from 'preact'
import { useId, useLayoutEffect, useRef } from 'preact/hooks'

interface DialogProps {
  readonly title: string
  readonly onClose: () => void
  readonly children: ComponentChildren
  /** A sheet at the foot leaves the value above it in sight. */
  readonly sheet?: boolean
}

/** The browser's own modal dialog: focus stays inside, Escape closes it, focus returns to the button. */
export const Dialog = ({ title, onClose, children, sheet }: DialogProps) => {
  const dialog = useRef<HTMLDialogElement>(null)
  const heading = useId()
  // In the commit, not after it: the focus must be back before the dialog has left the page.
  useLayoutEffect(() => {
    const element = dialog.current
    if (element === null) return
    const opener = document.activeElement
    element.showModal()
    return () => {
      element.close()
      if (opener instanceof HTMLElement) opener.focus()
    }
  }, [])
  return (
    <dialog
      ref={dialog}
      class={sheet === true ? 'dialog dialog-sheet' : 'dialog'}
      aria-labelledby={heading}
      onCancel={(event) => {
        event.preventDefault()
        onClose()
      }}
    >
      <div class="dialog-head">
        <h2 id={heading}>{title}</h2>
        <button type="button" class="plain" onClick={onClose}>
          Cancel
        </button>
      </div>
      {children}
    </dialog>
  )
}
