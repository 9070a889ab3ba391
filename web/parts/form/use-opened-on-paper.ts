import { useEffect } from 'preact/hooks'

/** What is folded on screen and belongs to a printed report stands open while it is printed. */
export const useOpenedOnPaper = (): void => {
  useEffect(() => {
    let opened: HTMLDetailsElement[] = []
    const open = () => {
      opened = [...document.querySelectorAll<HTMLDetailsElement>('details.on-paper:not([open])')]
      for (const details of opened) details.open = true
    }
    const close = () => {
      for (const details of opened) details.open = false
      opened = []
    }
    window.addEventListener('beforeprint', open)
    window.addEventListener('afterprint', close)
    return () => {
      window.removeEventListener('beforeprint', open)
      window.removeEventListener('afterprint', close)
    }
  }, [])
}
