import type { ComponentChildren } from 'preact'
import type { PortsFound } from '../../../server/wire.ts'
import { Field } from '../form/field.tsx'
import type { MeterForm } from './meter-form.ts'

type Device = PortsFound['devices'][number]
type Port = PortsFound['ports'][number]

interface PlaceProps extends MeterForm {
  readonly found: PortsFound
  readonly again: () => void
}

/** Where the meter is plugged in: what is there, what holds it, what keeps it from being opened. */
export const MeterPlace = ({ draft, set, found, again }: PlaceProps) => {
  const shown = new Set(found.devices.flatMap((d) => (d.port === null ? [] : [d.port])))
  const others = found.ports.filter((p) => !shown.has(p.port) && p.kind !== 'replay')
  const choose = (place: string) => set({ place })
  return (
    <fieldset class="places">
      <legend>Where is the meter plugged in?</legend>
      {found.devices.length === 0 && (
        <p>No serial device is plugged in. Plug the adapter in, then look again.</p>
      )}
      {found.devices.map((device) => (
        <Place
          key={device.path}
          value={placeOf(device)}
          now={draft.place}
          choose={choose}
          title={titleOf(device)}
        >
          <DeviceNotes device={device} user={found.user} />
        </Place>
      ))}
      {others.map((port) => (
        <Place
          key={port.port}
          value={`port:${port.port}`}
          now={draft.place}
          choose={choose}
          title={portTitle(port)}
        >
          {port.why !== null && port.state !== 'open' && <p class="warning">{port.why}</p>}
        </Place>
      ))}
      <Place value="path" now={draft.place} choose={choose} title="Another serial device, by its path">
        {draft.place === 'path' && (
          <Field
            label="Path of the device"
            value={draft.path}
            onValue={(path) => set({ path })}
            maxLength={200}
            hint="Use a name under /dev/serial: one such as /dev/ttyUSB0 may be another device tomorrow."
          />
        )}
      </Place>
      <Place value="network" now={draft.place} choose={choose} title="A network serial server">
        {draft.place === 'network' && (
          <div class="side-by-side">
            <Field label="Address" value={draft.host} onValue={(host) => set({ host })} />
            <Field
              label="Port"
              kind="number"
              value={draft.tcp_port}
              onValue={(tcp_port) => set({ tcp_port })}
            />
          </div>
        )}
      </Place>
      <p>
        <button type="button" onClick={again}>
          Look again
        </button>
      </p>
    </fieldset>
  )
}

interface RadioProps {
  readonly value: string
  readonly now: string
  readonly choose: (value: string) => void
  readonly title: ComponentChildren
  readonly children?: ComponentChildren
}

const Place = ({ value, now, choose, title, children }: RadioProps) => (
  <div class="place">
    <label>
      <input type="radio" name="place" value={value} checked={value === now} onChange={() => choose(value)} />
      <span>{title}</span>
    </label>
    <div class="place-notes">{children}</div>
  </div>
)

const placeOf = (device: Device): string =>
  device.port === null ? `device:${device.path}` : `port:${device.port}`

const titleOf = ({ path, description, serial, port, instruments }: Device) => (
  <>
    <b>{description ?? 'Serial device'}</b>
    {serial !== null && `, serial number ${serial}`} <code>{path}</code>
    {port !== null && ` · wired: ${instruments.join(', ')}`}
  </>
)

const portTitle = ({ port, where, instruments }: Port) => (
  <>
    <b>Port {port}</b> <code>{where}</code> · wired: {instruments.join(', ')}
  </>
)

const DeviceNotes = ({ device, user }: { readonly device: Device; readonly user: string }) => (
  <>
    {device.socket_only && (
      <p class="hint">
        This adapter has no serial number of its own: it is known by its USB socket. Keep the cable in this
        socket.
      </p>
    )}
    {device.stable === null && (
      <p class="hint">
        Nothing about it stays the same: after the next start this name may be another device.
      </p>
    )}
    {device.barred !== null && (
      <p class="warning">
        The program runs as {user} and may not open it. {device.barred}
      </p>
    )}
  </>
)
