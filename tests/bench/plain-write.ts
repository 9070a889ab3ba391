import { InfluxDB, Point } from '@influxdata/influxdb-client'
import type { Reading } from '../../ingest/reading/reading.ts'

const AT_ONCE = 5000

/** The peer: the client's own write API with the same readings, to another database; readings per second. It may lose some and not say so: count them. */
export const plainWriteRate = async (
  url: string,
  database: string,
  readings: readonly Reading[],
): Promise<number> => {
  const start = performance.now()
  const api = new InfluxDB({ url, timeout: 30_000 }).getWriteApi('', '', 'us', { batchSize: 2 * AT_ONCE })
  api.path = `/write?db=${database}&precision=u`
  for (let at = 0; at < readings.length; at += AT_ONCE) {
    api.writePoints(readings.slice(at, at + AT_ONCE).map(pointOf))
    await api.flush()
  }
  const took = performance.now() - start
  await api.close()
  return readings.length / (took / 1000)
}

const pointOf = ({ series, timeUs, seq, value, raw, quality, bootId, monoMs, movedUs }: Reading): Point => {
  const point = new Point('reading')
    .tag('bench', series.bench)
    .tag('instrument', series.instrument)
    .tag('channel', series.channel)
    .intField('seq', seq)
    .stringField('quality', quality)
    .stringField('boot_id', bootId)
    .floatField('mono_ms', monoMs)
    .intField('moved_us', movedUs)
    .timestamp(String(timeUs))
  if (value !== null) point.floatField('value', value)
  if (raw !== null) point.floatField('raw', raw)
  return point
}
