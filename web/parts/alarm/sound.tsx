import { useEffect, useState } from 'preact/hooks'
import { askForNotices } from '../../notices.ts'
import { useApp, useNow } from '../../store.ts'
import { ozoneOffDue } from '../../time-left.ts'
import { useServerNow } from '../frame/site-time.tsx'
import { useNotices } from './use-notices.ts'

const EVERY_MS = 3000

/** Browsers stay silent until a person has asked for sound, so the state of the sound is always in words. */
export const SoundButton = () => {
  const [audio, setAudio] = useState<AudioContext | null>(null)
  const sounding = useApp((s) => s.alarms.some((a) => a.state === 'unacknowledged'))
  const high = useApp((s) => s.alarms.some((a) => a.state === 'unacknowledged' && a.priority === 'high'))
  const planned = useOzoneOffDue()
  const call = sounding || planned
  useNotices(audio !== null)
  useEffect(() => {
    if (audio === null || !call) return
    play(audio, high)
    const timer = setInterval(() => play(audio, high), EVERY_MS)
    return () => clearInterval(timer)
  }, [audio, call, high])

  const turnOn = () => {
    const made = new AudioContext()
    void made.resume()
    tone(made, 660, 0, 0.15)
    setAudio(made)
    askForNotices()
  }
  const turnOff = () => {
    void audio?.close()
    setAudio(null)
  }
  return audio === null ? (
    <button type="button" class="sound sound-off" aria-label="Sound is off: turn on" onClick={turnOn}>
      Sound is off<span class="sound-do">: turn on</span>
    </button>
  ) : (
    <button type="button" class="sound" aria-label="Sound is on: turn off" onClick={turnOff}>
      Sound is on<span class="sound-do">: turn off</span>
    </button>
  )
}

/** With no meter the clock is all there is: the planned end of bubbling calls for a minute. */
const useOzoneOffDue = (): boolean => {
  const now_ms = useServerNow(useNow())
  const benches = useApp((s) => s.benches)
  return [...benches.values()].some(({ value }) => ozoneOffDue(value, now_ms))
}

/** High priority: three rising tones. Others: two level tones. */
const play = (audio: AudioContext, high: boolean): void => {
  const tones = high ? [660, 880, 1170] : [587, 587]
  tones.forEach((hertz, i) => {
    tone(audio, hertz, i * 0.25, 0.2)
  })
}

const tone = (audio: AudioContext, hertz: number, after_s: number, length_s: number): void => {
  const source = audio.createOscillator()
  const volume = audio.createGain()
  source.frequency.value = hertz
  volume.gain.value = 0.25
  source.connect(volume).connect(audio.destination)
  source.start(audio.currentTime + after_s)
  source.stop(audio.currentTime + after_s + length_s)
}
