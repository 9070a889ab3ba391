import { z } from 'zod'
import type { Handled } from '../alarm/alarm-board.ts'
import { ruleNamed } from '../alarm/alarm-rules.ts'
import { checkSetting } from '../alarm/alarm-settings.ts'
import { alarmPerformance } from '../alarm/performance.ts'
import { ServerError } from '../errors.ts'
import { entrySchema, type Who } from '../ledger/entry.ts'
import { whoOf } from '../people/caller.ts'
import type { Service } from '../service.ts'
import { alarmPerformanceView, alarmSettingView } from '../wire/alarm-schema.ts'
import { alarmView } from '../wire/bench-schema.ts'
import { acknowledge, setAlarm, shelve, unshelve } from '../wire/request-schema.ts'
import { settingViews } from './alarm-setting-view.ts'
import type { Route } from './route.ts'

const keyParams = z.object({ key: z.string().min(3).max(120) })
const historyQuery = z.object({ limit: z.coerce.number().int().min(1).max(1000).default(200) })
const performanceQuery = z.object({ days: z.coerce.number().int().min(1).max(366).default(30) })

export const alarmRoutes = (service: Service): Route[] => [
  {
    method: 'get',
    path: '/api/alarms',
    summary: 'Alarms that are not normal now',
    answer: z.array(alarmView),
    handle: () => service.engine.alarms(),
  },
  {
    method: 'get',
    path: '/api/alarms/history',
    summary: 'Alarm changes of state, newest first',
    query: historyQuery,
    answer: z.object({ entries: z.array(entrySchema) }),
    handle: ({ query }) => ({ entries: service.ledger.ofKind('alarm', Number(query['limit'])).reverse() }),
  },
  {
    method: 'get',
    path: '/api/alarms/performance',
    summary: 'Figures of ANSI/ISA-18.2: how many, how often at once, chattering, stale',
    query: performanceQuery,
    answer: alarmPerformanceView,
    handle: ({ query }) =>
      alarmPerformance(service.ledger.ofKind('alarm'), service.clock.nowMs(), Number(query['days'])),
  },
  {
    method: 'get',
    path: '/api/alarms/settings',
    summary: 'Every alarm: its limits as shipped and as set here, and who set them',
    answer: z.array(alarmSettingView),
    handle: () => settingViews(service.ledger.ofKind('alarm-setting')),
  },
  {
    method: 'post',
    path: '/api/alarms/settings',
    summary: 'Set limits, delays and priority of one alarm, or take it out of service, with the reason',
    body: setAlarm,
    answer: alarmSettingView,
    handle: ({ body, caller }) => {
      const { who, ...wanted } = body as z.infer<typeof setAlarm>
      return setOne(service, { ...wanted, who: whoOf(caller, who) })
    },
  },
  {
    method: 'post',
    path: '/api/alarms/{key}/acknowledgement',
    summary: 'Acknowledge an alarm: who has seen it, and why if it matters',
    params: keyParams,
    body: acknowledge,
    answer: alarmView,
    handle: ({ params, body, caller }) => {
      const { who, why } = body as z.infer<typeof acknowledge>
      const by = whoOf(caller, who)
      return handled(service, params['key'], { handling: { kind: 'acknowledge' }, by, why: why ?? null })
    },
  },
  {
    method: 'post',
    path: '/api/alarms/{key}/shelving',
    summary: 'Put an alarm aside for at most half an hour, with the reason',
    params: keyParams,
    body: shelve,
    answer: alarmView,
    handle: ({ params, body, caller }) => {
      const { who, why, minutes } = body as z.infer<typeof shelve>
      refuseNeverSilenced(params['key'])
      return handled(service, params['key'], {
        handling: { kind: 'shelve', forMs: minutes * 60_000 },
        by: whoOf(caller, who),
        why,
      })
    },
  },
  {
    method: 'post',
    path: '/api/alarms/{key}/unshelving',
    summary: 'Take a shelved alarm back before its time',
    params: keyParams,
    body: unshelve,
    answer: alarmView,
    handle: ({ params, body, caller }) => {
      const { who, why } = body as z.infer<typeof unshelve>
      const by = whoOf(caller, who)
      return handled(service, params['key'], { handling: { kind: 'unshelve' }, by, why: why ?? null })
    },
  },
]

const handled = (service: Service, key = '', what: Handled) => {
  const shown = service.engine.handleAlarm(key, what)
  if (!shown)
    throw new ServerError('not-found', `alarm ${key} does not exist`, {
      fix: 'see /api/alarms for those that do',
    })
  return shown
}

const refuseNeverSilenced = (key = ''): void => {
  const rule = ruleNamed(key.slice(key.lastIndexOf(':') + 1))
  if (rule?.neverSilenced)
    throw new ServerError('not-possible-now', 'the alarm for ozone in the room may not be shelved', {
      fix: 'ozone off, everyone out, ventilate; it ends when the air is under the limit',
    })
}

type Setting = Omit<z.infer<typeof setAlarm>, 'who'> & { readonly who: Who }

const setOne = (service: Service, { id, who, why, setting }: Setting) => {
  const rule = ruleNamed(setting.alarm)
  if (!rule) throw new ServerError('not-found', `there is no alarm "${setting.alarm}"`)
  checkSetting(setting, rule)
  const at = new Date(service.clock.nowMs()).toISOString()
  if (!service.ledger.byId(id))
    service.ledger.append({
      id,
      happened_at: at,
      entered_at: at,
      bench: null,
      batch: null,
      who,
      why,
      kind: 'alarm-setting',
      data: setting,
    })
  const found = settingViews(service.ledger.ofKind('alarm-setting')).find(
    (view) => view.alarm === setting.alarm,
  )
  if (!found) throw new ServerError('not-found', `there is no alarm "${setting.alarm}"`)
  return found
}
