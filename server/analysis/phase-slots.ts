import type { Phase } from '../phase/phase.ts'
import type { CleanReadings } from './clean-readings.ts'
import { GrowingPhase, type PhaseReadings } from './phase-readings.ts'

/** Readings of the phases that are fitted update after update; one that an update does not ask for is let go. */
export class PhaseSlots {
  private before = new Map<string, GrowingPhase>()
  private now = new Map<string, GrowingPhase>()

  /** To be called once an update, before any phase is asked for. */
  begin(): void {
    this.before = this.now
    this.now = new Map()
  }

  of(readings: CleanReadings, phase: Phase, fromMinutes: number): PhaseReadings {
    const key = JSON.stringify([phase.kind, phase.startS, fromMinutes])
    const slot = this.now.get(key) ?? this.before.get(key) ?? new GrowingPhase()
    this.now.set(key, slot)
    return slot.take(readings, phase, fromMinutes)
  }
}
