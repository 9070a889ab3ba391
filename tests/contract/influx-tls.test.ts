import { spawnSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, it, onTestFinished } from 'vitest'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

const hasOpenssl = spawnSync('openssl', ['version']).status === 0

/** Key and certificate of an authority of one's own, for 127.0.0.1, in one file. */
const selfSigned = (folder: string): string => {
  const pem = join(folder, 'own.pem')
  const subject = ['-subj', '/CN=127.0.0.1', '-addext', 'subjectAltName=IP:127.0.0.1']
  const made = spawnSync('openssl', [
    ...['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '2', ...subject],
    ...['-keyout', pem, '-out', join(folder, 'certificate.pem')],
  ])
  if (made.status !== 0) throw new Error(made.stderr.toString())
  spawnSync('sh', ['-c', `cat "${join(folder, 'certificate.pem')}" >> "${pem}"`])
  return pem
}

it.skipIf(!hasInflux || !hasOpenssl)(
  'talks to a server with a certificate of one’s own authority when told of it, and not otherwise',
  async () => {
    const folder = temporaryFolder()
    const influx = await startInflux({ pem: selfSigned(folder) })
    onTestFinished(() => influx.close())
    const target = influx.target('_internal', { caFile: join(folder, 'certificate.pem') })
    expect(target.url).toMatch(/^https:/)
    const trusting = connectInflux(target, { kind: 'none' })
    await expect(trusting.query('SHOW DATABASES')).resolves.toHaveLength(1)
    expect(await trusting.write(['reading value=1 1'])).toMatchObject({ kind: 'not-let-in' })

    const wary = connectInflux({ ...target, caFile: null }, { kind: 'none' })
    const refused = await wary.write(['reading value=1 1'])
    expect(refused).toMatchObject({ kind: 'unreachable', why: expect.stringMatching(/self-signed/) })
  },
)
