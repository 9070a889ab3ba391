import type { Who } from '../ledger/entry.ts'
import type { AlarmView as ShownAlarm } from '../wire.ts'
import type { AlarmName, AlarmRule, AlarmView } from './alarm.ts'
import { ALARM_RULES, SITE_ALARM_RULES } from './alarm-rules.ts'
import { type AlarmSettings, delaysNow, limitsNow, priorityNow } from './alarm-settings.ts'
import { type AlarmMemory, type AlarmStateName, AT_REST, type Handling, stepAlarm } from './alarm-state.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'

/** A change of state, to be written to the ledger. */
export interface AlarmChange {
  readonly key: string
  readonly rule: { readonly name: AlarmName }
  /** Null for an alarm of the whole site. */
  readonly bench: string | null
  readonly batch: string | null
  readonly from: AlarmStateName
  readonly to: AlarmStateName
  readonly text: string
  readonly priority: ShownAlarm['priority']
  /** Who handled it, when this change came from that. */
  readonly by: Who | null
  readonly why: string | null
  /** When it is shelved: until then. */
  readonly until: string | null
}

/** What a person does with an alarm, noted until the next look. */
export interface Handled {
  readonly handling: Handling
  readonly by: Who
  readonly why: string | null
}

interface Slot {
  readonly rule: { readonly name: AlarmName; readonly neverSilenced?: true }
  readonly bench: string | null
  memory: AlarmMemory
  shown: ShownAlarm
  handled: Handled | undefined
}

export const alarmKey = (bench: string | null, alarm: string): string => `${bench ?? 'site'}:${alarm}`

interface Place {
  readonly bench: string | null
  readonly batch: string | null
}

const SITE: Place = { bench: null, batch: null }

/** What a restart needs to go on from: the last recorded state of an alarm. */
export interface RestoredAlarm {
  readonly state: AlarmStateName
  readonly since: string
  readonly batch: string | null
  readonly acknowledgedBy: string | null
  readonly acknowledgedAt: string | null
  readonly shelvedUntil: string | null
}

interface Moment {
  /** Counts steadily. */
  readonly nowMs: number
  readonly nowIso: string
  readonly settings: AlarmSettings
}

/** All alarms of all benches and of the site, between two looks. Holds memory, writes nothing: changes are returned. */
export class AlarmBoard {
  private readonly slots = new Map<string, Slot>()
  private readonly restored: ReadonlyMap<string, RestoredAlarm>

  constructor(restored: ReadonlyMap<string, RestoredAlarm>) {
    this.restored = restored
  }

  look(view: AlarmView, moment: Moment): AlarmChange[] {
    const place = { bench: view.live.bench, batch: view.live.batch?.id ?? null }
    return this.lookWith(ALARM_RULES, place, view, moment)
  }

  lookAtSite(view: SiteAlarmView, moment: Moment): AlarmChange[] {
    return this.lookWith(SITE_ALARM_RULES, SITE, view, moment)
  }

  private lookWith<View>(
    rules: readonly AlarmRule<View>[],
    place: Place,
    view: View,
    moment: Moment,
  ): AlarmChange[] {
    return rules.flatMap((rule) => {
      const slot = this.slotOf(rule, place.bench, moment)
      const setting = moment.settings.get(rule.name)
      const limits = limitsNow(rule.limits, setting)
      const { handled } = slot
      const input = {
        condition: rule.condition(view, limits),
        suppressed: rule.suppressed(view),
        outOfService: setting?.in_service === false,
        handling: handled?.handling ?? null,
        nowMs: moment.nowMs,
      }
      const { memory, from } = stepAlarm(slot.memory, input, delaysNow(rule.delays(view), setting))
      slot.memory = memory
      slot.handled = undefined
      slot.shown = {
        ...slot.shown,
        priority: priorityNow(rule.priority(view), setting),
        text: rule.text(view, limits),
        what_to_do: rule.whatToDo(view),
        batch: place.batch,
        // told once: the two clocks differ by a little at every look
        shelved_until:
          from === null && handled === undefined && memory.state === 'shelved'
            ? slot.shown.shelved_until
            : untilOf(memory, moment),
      }
      if (from === null) return []
      slot.shown = {
        ...slot.shown,
        state: memory.state,
        since: moment.nowIso,
        ...(memory.state === 'acknowledged' ? {} : UNACKNOWLEDGED),
      }
      return [this.changeOf(slot, from, handled)]
    })
  }

  /** Notes what a person does with it; the state changes at the next look. Undefined for an alarm that does not exist. */
  handle(key: string, handled: Handled, at: string): ShownAlarm | undefined {
    const slot = this.slots.get(key)
    if (!slot) return undefined
    if (handled.handling.kind !== 'acknowledge') {
      slot.handled = handled
      return slot.shown
    }
    // who has seen it first stays on record; there is nothing to see of an alarm that is not there
    if (!WAITS_FOR_A_PERSON.has(slot.memory.state)) return slot.shown
    slot.handled = handled
    slot.shown = { ...slot.shown, acknowledged_by: handled.by.name, acknowledged_at: at }
    return slot.shown
  }

  /** Of the site without one. */
  ofBench(bench: string | null): ShownAlarm[] {
    return this.all().filter((alarm) => alarm.bench === bench)
  }

  /** Alarms a person should see: everything but normal and suppressed. */
  all(): ShownAlarm[] {
    return [...this.slots.values()]
      .map((slot) => slot.shown)
      .filter((a) => a.state !== 'normal' && a.state !== 'suppressed-by-design')
  }

  private slotOf(
    rule: { readonly name: AlarmName; readonly neverSilenced?: true },
    bench: string | null,
    moment: Moment,
  ): Slot {
    const key = alarmKey(bench, rule.name)
    const found = this.slots.get(key)
    if (found) return found
    const before = this.restored.get(key)
    const slot: Slot = {
      rule,
      bench,
      memory: memoryOf(before, moment),
      handled: undefined,
      shown: {
        key,
        alarm: rule.name,
        bench,
        batch: null,
        priority: 'low',
        state: before?.state ?? 'normal',
        since: before?.since ?? moment.nowIso,
        text: '',
        what_to_do: '',
        acknowledged_by: before?.acknowledgedBy ?? null,
        acknowledged_at: before?.acknowledgedAt ?? null,
        shelved_until: before?.shelvedUntil ?? null,
        may_be_shelved: rule.neverSilenced !== true,
      },
    }
    this.slots.set(key, slot)
    return slot
  }

  private changeOf(slot: Slot, from: AlarmStateName, handled: Handled | undefined): AlarmChange {
    const { key, batch, text, priority, shelved_until: until } = slot.shown
    return {
      key,
      rule: slot.rule,
      bench: slot.bench,
      batch,
      from,
      to: slot.memory.state,
      text,
      priority,
      by: handled?.by ?? null,
      why: handled?.why ?? null,
      until: slot.memory.state === 'shelved' ? until : null,
    }
  }
}

/** Steady time until then, from the wall clock that was recorded. What it stood at before is taken to be there still. */
const memoryOf = (before: RestoredAlarm | undefined, { nowMs, nowIso }: Moment): AlarmMemory => {
  if (before === undefined) return AT_REST
  const leftMs = before.shelvedUntil === null ? 0 : Date.parse(before.shelvedUntil) - Date.parse(nowIso)
  return {
    ...AT_REST,
    state: before.state,
    shelvedUntilMs: before.state === 'shelved' ? nowMs + Math.max(0, leftMs) : null,
    isUnderneath: before.state === 'shelved',
  }
}

const untilOf = ({ state, shelvedUntilMs }: AlarmMemory, { nowMs, nowIso }: Moment): string | null =>
  state === 'shelved' && shelvedUntilMs !== null
    ? new Date(Date.parse(nowIso) + shelvedUntilMs - nowMs).toISOString()
    : null

const WAITS_FOR_A_PERSON: ReadonlySet<AlarmStateName> = new Set(['unacknowledged', 'returned-unacknowledged'])

const UNACKNOWLEDGED = { acknowledged_by: null, acknowledged_at: null }
