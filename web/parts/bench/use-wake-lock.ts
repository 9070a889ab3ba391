import { useEffect } from 'preact/hooks'

/** Keeps the screen of a bench from going dark where the browser can; where it cannot, nothing is said or lost. */
export const useWakeLock = (): void => {
  useEffect(() => {
    let wanted = true
    let held: WakeLockSentinel | null = null
    const hold = async (): Promise<void> => {
      if (document.visibilityState !== 'visible' || !('wakeLock' in navigator)) return
      try {
        const lock = await navigator.wakeLock.request('screen')
        if (wanted) held = lock
        else await lock.release()
      } catch {
        // Low battery or a policy: the screen dims as it always did.
      }
    }
    // The browser lets go whenever the page is hidden, so it is asked again on every return.
    const look = () => void hold()
    look()
    document.addEventListener('visibilitychange', look)
    return () => {
      wanted = false
      document.removeEventListener('visibilitychange', look)
      void held?.release().catch(() => undefined)
    }
  }, [])
}
