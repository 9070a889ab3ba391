import type { Role } from './role.ts'

/**
 * What a request needs: `anybody` needs nothing, a role that role or more, `viewer` also admits a paired display.
 * `operator-or-display`: at a paired display without a person it is up to the route which entries wait for a signature.
 */
export type Need = 'anybody' | Role | 'operator-or-display' | 'display'

/** The one table of who may ask what. A route that is not in it needs an administrator, and a test fails. */
export const ROUTE_NEEDS: Readonly<Record<string, Need>> = {
  'GET /api/health': 'anybody',
  'GET /api/health/check': 'anybody',
  'GET /api/session': 'anybody',
  'POST /api/sign-in': 'anybody',
  'POST /api/link': 'anybody',
  'POST /api/link/use': 'anybody',
  'POST /api/sign-in/pin': 'display',

  'GET /api/openapi.json': 'viewer',
  'GET /api/site': 'viewer',
  'GET /api/benches': 'viewer',
  'GET /api/benches/{bench}': 'viewer',
  'GET /api/benches/{bench}/spot-reading': 'viewer',
  'GET /api/readings': 'viewer',
  'GET /api/instruments': 'viewer',
  'GET /api/instrument-checks': 'viewer',
  'GET /api/batches': 'viewer',
  'GET /api/batches/{id}': 'viewer',
  'GET /api/batches/{id}/analysis': 'viewer',
  'GET /api/batches/{id}/readings.csv': 'viewer',
  'GET /api/batches/{id}/record.csv': 'viewer',
  'GET /api/batches/{id}/record.pdf': 'viewer',
  'GET /api/batches/{id}/label.pdf': 'viewer',
  'GET /api/batches-in-doubt': 'viewer',
  'GET /api/alarms': 'viewer',
  'GET /api/alarms/history': 'viewer',
  'GET /api/alarms/performance': 'viewer',
  'GET /api/alarms/settings': 'viewer',
  'GET /api/method-sheets': 'viewer',
  'GET /api/lots': 'viewer',
  'GET /api/trials': 'viewer',
  'GET /api/trials/{id}': 'viewer',
  'GET /api/trials/{id}/report.csv': 'viewer',
  'GET /api/trials/{id}/report.pdf': 'viewer',
  'GET /api/trials/{id}/curves': 'viewer',
  'GET /api/trials/{id}/curves.csv': 'viewer',
  'POST /api/trial-power': 'viewer',
  'GET /api/trial-spread': 'viewer',
  'POST /api/plan': 'viewer',
  'GET /api/deliveries': 'viewer',
  'GET /api/unsigned': 'viewer',
  'GET /api/forwarding/refused': 'viewer',
  'POST /api/calibration-line': 'viewer',
  'POST /api/reference-value': 'viewer',
  'POST /api/step-test': 'viewer',
  'POST /api/session/here': 'viewer',
  'POST /api/sign-out': 'viewer',
  'POST /api/session/password': 'viewer',
  'POST /api/session/pin': 'viewer',

  'POST /api/batches/{id}/entries': 'operator-or-display',
  'POST /api/alarms/{key}/acknowledgement': 'operator-or-display',
  'POST /api/entries/{id}/signature': 'operator-or-display',
  'POST /api/alarms/{key}/shelving': 'operator',
  'POST /api/alarms/{key}/unshelving': 'operator',
  'POST /api/method-sheets/{id}/versions': 'operator',
  'POST /api/trials/{id}': 'operator',
  'POST /api/trials/{id}/batches': 'operator',
  'POST /api/instrument-checks': 'operator',
  'POST /api/step-tests': 'operator',

  'POST /api/calibrations': 'reviewer',
  'POST /api/alarms/settings': 'reviewer',
  'POST /api/trials/{id}/changes': 'reviewer',
  'POST /api/trials/{id}/exclusions': 'reviewer',
  'POST /api/trials/{id}/closing': 'reviewer',
  'POST /api/method-sheets/{id}/approval': 'reviewer',
  'POST /api/method-sheets/{id}/withdrawal': 'reviewer',
  'POST /api/batches/{id}/review': 'reviewer',

  'GET /api/ports': 'administrator',
  'POST /api/ports/listen': 'administrator',
  'POST /api/ports/try': 'administrator',
  'GET /api/wiring': 'administrator',
  'POST /api/wiring/check': 'administrator',
  'POST /api/wiring': 'administrator',
  'GET /api/people': 'administrator',
  'POST /api/people': 'administrator',
  'GET /api/people/history': 'administrator',
  'POST /api/people/{id}/role': 'administrator',
  'POST /api/people/{id}/activity': 'administrator',
  'POST /api/people/{id}/link': 'administrator',
  'GET /api/displays': 'administrator',
  'POST /api/displays': 'administrator',
  'POST /api/displays/{id}/revocation': 'administrator',
}

/** The same for the live channel: to begin it, and for each event that a screen sends on it. */
export const EVENT_NEEDS: Readonly<Record<'connection' | 'watch' | 'unwatch', Need>> = {
  connection: 'viewer',
  watch: 'viewer',
  unwatch: 'viewer',
}

export const routeNeed = (method: string, path: string): Need =>
  ROUTE_NEEDS[`${method.toUpperCase()} ${path}`] ?? 'administrator'

/** What may be entered at a paired display before anybody says who: what stops gas or a danger must not wait. */
export const AT_A_DISPLAY: ReadonlySet<string> = new Set(['ozone-off', 'flow-off', 'discarded'])
