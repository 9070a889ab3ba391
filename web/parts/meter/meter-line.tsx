import { Choice, Field } from '../form/field.tsx'
import type { MeterForm } from './meter-form.ts'

interface LineProps extends MeterForm {
  /** A network serial server has its own speed. */
  readonly serial: boolean
}

const BAUDS = ['1200', '2400', '4800', '9600', '19200', '38400', '57600', '115200'] as const
const same = (values: readonly string[]) => values.map((v) => [v, v] as const)

/** How the meter speaks: as in its manual. */
export const MeterLine = ({ draft, set, serial }: LineProps) => (
  <div class="two-columns">
    {serial && <Serial draft={draft} set={set} />}
    <div>
      <Choice
        label="The meter sends"
        value={draft.speaks}
        onValue={(v) => set({ speaks: v === 'modbus-rtu' ? 'modbus-rtu' : 'line', channels: [] })}
        options={[
          ['line', 'lines of text'],
          ['modbus-rtu', 'Modbus RTU'],
        ]}
      />
      {draft.speaks === 'line' ? <Lines draft={draft} set={set} /> : <Registers draft={draft} set={set} />}
      <Interval draft={draft} set={set} />
    </div>
  </div>
)

/** What belongs to the instrument and not to the port: for one more on a port that is wired. */
export const MeterOwn = ({ draft, set }: MeterForm) => (
  <div class="two-columns">
    <div>
      {draft.speaks === 'line' ? <Asked draft={draft} set={set} /> : <Address draft={draft} set={set} />}
      <Interval draft={draft} set={set} />
    </div>
  </div>
)

const Interval = ({ draft, set }: MeterForm) => (
  <Field
    label={draft.speaks === 'line' && draft.ask === '' ? 'A reading every' : 'Ask every'}
    unit="s"
    kind="number"
    value={draft.interval_s}
    onValue={(interval_s) => set({ interval_s })}
  />
)

const Asked = ({ draft, set }: MeterForm) => (
  <Field
    label="Text that asks for a reading"
    value={draft.ask}
    onValue={(ask) => set({ ask })}
    hint="Empty where the meter sends by itself. Only what its manual calls a reading command, such as VALUE?\r. It is sent as it stands."
  />
)

const Address = ({ draft, set }: MeterForm) => (
  <Field
    label="Address of the unit"
    kind="number"
    value={draft.address}
    onValue={(address) => set({ address })}
    hint="1 to 247"
  />
)

const Serial = ({ draft, set }: MeterForm) => (
  <div>
    <Choice
      label="Speed (baud)"
      value={draft.baud}
      onValue={(baud) => set({ baud })}
      options={same([...new Set([...BAUDS, draft.baud])].filter((b) => b !== ''))}
      hint="As in the meter’s manual. 9600 and 19200 are the most common."
    />
    <Choice
      label="Parity"
      value={draft.parity}
      onValue={(parity) => set({ parity })}
      options={same(['none', 'even', 'odd'])}
    />
    <div class="side-by-side">
      <Choice
        label="Data bits"
        value={draft.data_bits}
        onValue={(data_bits) => set({ data_bits })}
        options={same(['8', '7', '6', '5'])}
      />
      <Choice
        label="Stop bits"
        value={draft.stop_bits}
        onValue={(stop_bits) => set({ stop_bits })}
        options={same(['1', '1.5', '2'])}
      />
    </div>
  </div>
)

const Lines = ({ draft, set }: MeterForm) => (
  <>
    <Choice
      label="A line ends with"
      value={draft.delimiter}
      onValue={(delimiter) => set({ delimiter })}
      options={[
        ['\n', 'line feed (LF, or CR and LF)'],
        ['\r\n', 'CR and LF, never LF alone'],
        ['\r', 'carriage return alone (CR)'],
      ]}
    />
    <Choice
      label="Check sum"
      value={draft.checksum}
      onValue={(checksum) => set({ checksum })}
      options={[
        ['none', 'none'],
        ['xor', '$…*hh, exclusive-or (NMEA 0183)'],
        ['crc16', '…*hhhh, CRC-16/MODBUS'],
      ]}
    />
    <Asked draft={draft} set={set} />
  </>
)

const Registers = ({ draft, set }: MeterForm) => (
  <>
    <Address draft={draft} set={set} />
    <Choice
      label="Table to look at"
      value={draft.table}
      onValue={(table) => set({ table })}
      options={[
        ['holding', 'holding registers (4xxxx)'],
        ['input', 'input registers (3xxxx)'],
      ]}
    />
    <div class="side-by-side">
      <Field
        label="From register"
        kind="number"
        value={draft.start}
        onValue={(start) => set({ start })}
        hint="Counted from 0: 40017 in a manual is 16."
      />
      <Field
        label="How many"
        kind="number"
        value={draft.count}
        onValue={(count) => set({ count })}
        hint="1 to 125"
      />
    </div>
    <p class="hint">Only read: the program has no way to write to a unit.</p>
  </>
)
