import { useState } from 'preact/hooks'
import { v7 } from 'uuid'
import type { MethodSheetVersion } from '../../../server/wire.ts'
import { batchBySheet } from '../../sheet-batch.ts'
import { useWho } from '../../who.ts'
import { sheetLine } from '../../words/sheet-words.ts'
import { WhenButtons } from '../form/when-buttons.tsx'
import { WhoField } from '../form/who-field.tsx'
import type { BenchView } from './bench-view.ts'
import { LotField } from './lot-field.tsx'

interface BySheetProps {
  readonly view: BenchView
  readonly version: MethodSheetVersion
  readonly onOther: () => void
  readonly onClose: () => void
}

/** The sheet is chosen; the lot and the moment are left. */
export const OpenBySheet = ({ view, version, onOther, onClose }: BySheetProps) => {
  const [lot, setLot] = useState('')
  const [who] = useWho()
  // asked for above the lot only where it is missing: the field must not move while it is typed in
  const [isNameless] = useState(who.trim() === '')
  const { acting, clock, now_ms } = view
  return (
    <>
      <div class="sheet-chosen">
        <p>
          <b>{version.settings.name}</b>, version {version.version}
          <br />
          {sheetLine(version.settings)}
        </p>
        <button type="button" class="plain" onClick={onOther}>
          Another sheet
        </button>
      </div>
      {isNameless && <WhoField needed />}
      <LotField fluid={version.settings.fluid} lot={lot} onLot={setLot} />
      {!isNameless && <WhoField needed />}
      <WhenButtons
        clock={clock}
        now_ms={now_ms}
        disabled={who.trim() === ''}
        onWhen={(when) => {
          const entry = { kind: 'batch-opened', data: batchBySheet(version, lot) } as const
          void acting.send({ entry, when, now_ms, expected_seq: 0, batch: v7() })
          onClose()
        }}
      />
    </>
  )
}
