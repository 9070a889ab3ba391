import { useState } from 'preact/hooks'
import { textTyped } from '../../typed/typed.ts'
import { useWho } from '../../who.ts'
import { Dialog } from '../form/dialog.tsx'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import { newestSeq } from './bench-view.ts'
import type { EntryDialogProps } from './plain-dialog.tsx'

export const NoteDialog = ({ view, batch, onClose }: EntryDialogProps) => {
  const [text, setText] = useState('')
  const [who] = useWho()
  const { acting, clock, now_ms } = view
  const note = textTyped(text)
  return (
    <Dialog title={`Note: ${view.live.name}`} onClose={onClose}>
      <div class="field">
        <label for="note-text">
          Note <span class="must">(needed)</span>
        </label>
        <textarea
          id="note-text"
          rows={4}
          maxLength={1000}
          value={text}
          aria-describedby="note-hint"
          onInput={(event) => setText(event.currentTarget.value)}
        />
        <span class="hint" id="note-hint">
          No names of patients.
        </span>
      </div>
      <WhoField needed />
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={note === null || who.trim() === ''}
        onWhen={(when) => {
          if (note === null) return
          const entry = { kind: 'note', data: { text: note } } as const
          void acting.send({ entry, when, now_ms, expected_seq: newestSeq(batch, view), batch: batch.id })
          onClose()
        }}
      />
    </Dialog>
  )
}
