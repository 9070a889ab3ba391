import type { AlarmView as ShownAlarm } from '../wire.ts'
import type { AlarmName, AlarmRule, AlarmView } from './alarm.ts'
import { type AlarmMemory, type AlarmStateName, AT_REST, stepAlarm } from './alarm-state.ts'
import { calibrationOverdue } from './calibration-overdue.ts'
import { diskNearlyFull } from './disk-nearly-full.ts'
import { forwardingBacklog, recordBacklog } from './forwarding-backlog.ts'
import { instrumentSilent } from './instrument-silent.ts'
import { potencyBelowTarget } from './potency-below-target.ts'
import { readingsRefused, recordRefused } from './readings-refused.ts'
import type { SiteAlarmView } from './site-alarm-view.ts'

export const ALARM_RULES: readonly AlarmRule[] = [potencyBelowTarget, instrumentSilent, calibrationOverdue]
/** Of no bench: looked at once for the whole site. */
export const SITE_ALARM_RULES: readonly AlarmRule<SiteAlarmView>[] = [
  forwardingBacklog,
  readingsRefused,
  recordBacklog,
  recordRefused,
  diskNearlyFull,
]

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
  /** Who acknowledged, when this change came from that. */
  readonly by: string | null
  readonly why: string | null
}

interface Slot {
  readonly rule: { readonly name: AlarmName }
  readonly bench: string | null
  memory: AlarmMemory
  shown: ShownAlarm
  /** Noted by a person, applied at the next look. */
  acknowledge: { readonly by: string; readonly why: string | null } | undefined
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
}

/** All alarms of all benches and of the site, between two looks. Holds memory, writes nothing: changes are returned. */
export class AlarmBoard {
  private readonly slots = new Map<string, Slot>()
  private readonly restored: ReadonlyMap<string, RestoredAlarm>

  constructor(restored: ReadonlyMap<string, RestoredAlarm>) {
    this.restored = restored
  }

  look(view: AlarmView, nowMs: number, nowIso: string): AlarmChange[] {
    const place = { bench: view.live.bench, batch: view.live.batch?.id ?? null }
    return this.lookWith(ALARM_RULES, place, view, nowMs, nowIso)
  }

  lookAtSite(view: SiteAlarmView, nowMs: number, nowIso: string): AlarmChange[] {
    return this.lookWith(SITE_ALARM_RULES, SITE, view, nowMs, nowIso)
  }

  private lookWith<View>(
    rules: readonly AlarmRule<View>[],
    place: Place,
    view: View,
    nowMs: number,
    nowIso: string,
  ): AlarmChange[] {
    return rules.flatMap((rule) => {
      const slot = this.slotOf(view, place.bench, rule, nowIso)
      const input = {
        condition: rule.condition(view),
        suppressed: rule.suppressed(view),
        acknowledge: slot.acknowledge !== undefined,
        nowMs,
      }
      const { memory, from } = stepAlarm(slot.memory, input, rule.delays(view))
      slot.memory = memory
      slot.shown = {
        ...slot.shown,
        priority: rule.priority(view),
        text: rule.text(view),
        what_to_do: rule.whatToDo(view),
        batch: place.batch,
      }
      const acknowledged = slot.acknowledge
      slot.acknowledge = undefined
      if (from === null) return []
      slot.shown = {
        ...slot.shown,
        state: memory.state,
        since: nowIso,
        ...(memory.state === 'acknowledged' ? {} : UNACKNOWLEDGED),
      }
      return [this.changeOf(slot, from, acknowledged)]
    })
  }

  /** Notes the acknowledgement; the state changes at the next look. Undefined for an alarm that does not exist. */
  acknowledge(key: string, by: string, why: string | null, at: string): ShownAlarm | undefined {
    const slot = this.slots.get(key)
    if (!slot) return undefined
    // who has seen it first stays on record; there is nothing to see of an alarm that is not there
    if (!WAITS_FOR_A_PERSON.has(slot.memory.state)) return slot.shown
    slot.acknowledge = { by, why }
    slot.shown = { ...slot.shown, acknowledged_by: by, acknowledged_at: at }
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

  private slotOf<View>(view: View, bench: string | null, rule: AlarmRule<View>, nowIso: string): Slot {
    const key = alarmKey(bench, rule.name)
    const found = this.slots.get(key)
    if (found) return found
    const before = this.restored.get(key)
    const slot: Slot = {
      rule,
      bench,
      memory: { ...AT_REST, state: before?.state ?? 'normal' },
      acknowledge: undefined,
      shown: {
        key,
        alarm: rule.name,
        bench,
        batch: null,
        priority: rule.priority(view),
        state: before?.state ?? 'normal',
        since: before?.since ?? nowIso,
        text: rule.text(view),
        what_to_do: rule.whatToDo(view),
        acknowledged_by: before?.acknowledgedBy ?? null,
        acknowledged_at: before?.acknowledgedAt ?? null,
      },
    }
    this.slots.set(key, slot)
    return slot
  }

  private changeOf(slot: Slot, from: AlarmStateName, acknowledged: Slot['acknowledge']): AlarmChange {
    const { key, batch, text, priority } = slot.shown
    return {
      key,
      rule: slot.rule,
      bench: slot.bench,
      batch,
      from,
      to: slot.memory.state,
      text,
      priority,
      by: acknowledged?.by ?? null,
      why: acknowledged?.why ?? null,
    }
  }
}

const WAITS_FOR_A_PERSON: ReadonlySet<AlarmStateName> = new Set(['unacknowledged', 'returned-unacknowledged'])

const UNACKNOWLEDGED = { acknowledged_by: null, acknowledged_at: null }
