import type { AlarmView as LookedAt } from '../alarm/alarm.ts'
import { AlarmBoard, type AlarmChange, type Handled } from '../alarm/alarm-board.ts'
import { alarmEntry } from '../alarm/alarm-entry.ts'
import { type AlarmSettings, settingsOf } from '../alarm/alarm-settings.ts'
import { restoreAlarms } from '../alarm/restore.ts'
import type { SiteAlarmView } from '../alarm/site-alarm-view.ts'
import type { Ledger } from '../ledger/ledger.ts'
import type { AlarmView } from '../wire.ts'
import type { ServerClock } from './server-clock.ts'

export interface KeptAlarmsOptions {
  readonly ledger: Ledger
  readonly clock: ServerClock
  readonly newId: () => string
  readonly publish: (alarms: AlarmView[]) => void
  /** What alarms of the whole site look at. */
  readonly siteNow: () => SiteAlarmView
}

/** The alarm board with its memory in the ledger: it goes on where it stood, every change is recorded and told. */
export class KeptAlarms {
  private readonly board: AlarmBoard
  private settings: AlarmSettings
  private readonly options: KeptAlarmsOptions

  constructor(options: KeptAlarmsOptions) {
    this.options = options
    this.board = new AlarmBoard(restoreAlarms(options.ledger.ofKind('alarm')))
    this.settings = settingsOf(options.ledger.ofKind('alarm-setting'))
  }

  /** After an entry changed how the clinic wants its alarms. */
  readSettings(): void {
    this.settings = settingsOf(this.options.ledger.ofKind('alarm-setting'))
  }

  /** Alarms a person should see. */
  all(): AlarmView[] {
    return this.board.all()
  }

  /** Looks at one bench. `settle` records and tells what changed: after the bench was told, also on a full disk. */
  lookAtBench(view: LookedAt): { readonly alarms: AlarmView[]; readonly settle: () => void } {
    const { at, bench } = view.live
    const changes = this.board.look(view, this.momentOf(at))
    return {
      alarms: this.board.ofBench(bench),
      settle: () => {
        if (changes.length === 0) return
        this.options.publish(this.board.all())
        this.record(changes, at)
      },
    }
  }

  lookAtSite(): void {
    const { clock, siteNow, publish } = this.options
    const at = new Date(clock.nowMs()).toISOString()
    const before = JSON.stringify(this.board.ofBench(null))
    const changes = this.board.lookAtSite(siteNow(), this.momentOf(at))
    // no bench sends these along with its own state
    if (JSON.stringify(this.board.ofBench(null)) !== before) publish(this.board.all())
    this.record(changes, at)
  }

  /** Undefined for an alarm that does not exist; `lookAgain` looks at its bench. */
  handle(key: string, handled: Handled, lookAgain: (bench: string) => void): AlarmView | undefined {
    const at = new Date(this.options.clock.nowMs()).toISOString()
    const shown = this.board.handle(key, handled, at)
    if (!shown) return undefined
    if (shown.bench === null) this.lookAtSite()
    else lookAgain(shown.bench)
    return this.board.all().find((a) => a.key === key) ?? { ...shown, state: 'normal' }
  }

  private momentOf(nowIso: string) {
    return { nowMs: this.options.clock.steadyMs(), nowIso, settings: this.settings }
  }

  private record(changes: readonly AlarmChange[], at: string): void {
    for (const change of changes) {
      const entry = alarmEntry(change, at, this.options.newId())
      if (entry) this.options.ledger.append(entry)
    }
  }
}
