import type { Health, RefusedReadings } from '../../server/wire.ts'
import { iso } from './fake-bench.ts'

export const REFUSED = 117

export const refused = (now: number): RefusedReadings['readings'] =>
  Array.from({ length: REFUSED }, (_, i) => ({
    seq: 88_120 - i,
    series: 'A/meter-a/dissolved-ozone',
    at: iso(now - (400 * 86_400 + i) * 1000),
    words: '422: unprocessable entity: dropped 1 points outside retention policy',
  }))

export const health = (now: number): Health => ({
  status: 'degraded',
  version: '0.1.0',
  simulated: false,
  at: iso(now),
  uptime_s: 73_000,
  wiring: { refused: null },
  rules_of_thumb: { entries: 10, fault: null },
  delivery: null,
  daemon: { seen_at: iso(now - 900), alive: true, readings_seq: 1_204_331 },
  ledger: { entries: 412, head: 'b5bb9d8014a0f9b1d61e21e796d78dccdf1352f23cd32812f4850b878ae4944c' },
  store: {
    readings: 1_204_331,
    readings_file_bytes: 81_300_000,
    ledger_file_bytes: 2_100_000,
    free_in_file_bytes: 0,
    bytes_per_reading: 67.5,
    readings_per_day: 345_600,
    not_rolled_up: 0,
    keep_raw_days: 400,
    results_kept_before: iso(now - 27 * 3_600_000),
    disk_free_bytes: 212_000_000,
    disk_total_bytes: 31_000_000_000,
    disk_full_at: iso(now + 9 * 86_400_000),
    disk_nearly_full: true,
  },
  forwarding: {
    place: 'https://influx.example:8086 (InfluxDB 2) clinic/ozone',
    proved: false,
    alive: true,
    state: 'waiting',
    why: 'connect ECONNREFUSED 192.0.2.7:8086',
    waiting: 12_410,
    oldest_waiting_s: 3_725,
    refused: REFUSED,
    last_refused: refused(now).slice(0, 5),
  },
  record_mirror: {
    place: 'https://influx.example:8086 (InfluxDB 2) clinic/ozone-record',
    proved: false,
    alive: true,
    state: 'up-to-date',
    why: null,
    waiting: 0,
    oldest_waiting_s: null,
    refused: 0,
    last_refused: [],
  },
  ports: [
    {
      port: 'usb-a',
      state: 'open',
      why: null,
      frames: 73_012,
      readings: 146_001,
      discarded: 3,
      last_reading_at: iso(now - 900),
    },
    {
      port: 'usb-b',
      state: 'waiting',
      why: 'The adapter is not plugged in.',
      frames: 0,
      readings: 0,
      discarded: 0,
      last_reading_at: null,
    },
  ],
})
