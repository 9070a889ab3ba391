import type { ToTell } from './newly-waiting.ts'

/** Asked for only after a person pressed the button; a browser without notices, or a no, changes nothing else. */
export const askForNotices = (): void => {
  if (typeof Notification === 'undefined' || Notification.permission !== 'default') return
  // Old browsers answer through a callback and return nothing.
  void Promise.resolve(Notification.requestPermission()).catch(() => undefined)
}

export const showNotice = ({ alarm: { key, bench, text, what_to_do }, again }: ToTell): void => {
  if (typeof Notification === 'undefined' || Notification.permission !== 'granted') return
  try {
    const about = `${bench === null ? '' : `Bench ${bench}: `}${text}`
    const notice = new Notification(again ? `Still not acknowledged. ${about}` : about, {
      body: what_to_do,
      tag: key,
      // without it a notice of the same tag is replaced without a sound
      ...(again ? { renotify: true } : {}),
      requireInteraction: true,
    })
    notice.onclick = () => window.focus()
  } catch {
    // Some phones refuse notices made by a page: the screen and the sound remain.
  }
}
