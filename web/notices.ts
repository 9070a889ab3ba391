import type { AlarmView } from '../server/wire.ts'

/** Asked for only after a person pressed the button; a browser without notices, or a no, changes nothing else. */
export const askForNotices = (): void => {
  if (typeof Notification === 'undefined' || Notification.permission !== 'default') return
  // Old browsers answer through a callback and return nothing.
  void Promise.resolve(Notification.requestPermission()).catch(() => undefined)
}

export const showNotice = ({ key, bench, text, what_to_do }: AlarmView): void => {
  if (typeof Notification === 'undefined' || Notification.permission !== 'granted') return
  try {
    const notice = new Notification(`${bench === null ? '' : `Bench ${bench}: `}${text}`, {
      body: what_to_do,
      tag: key,
      requireInteraction: true,
    })
    notice.onclick = () => window.focus()
  } catch {
    // Some phones refuse notices made by a page: the screen and the sound remain.
  }
}
