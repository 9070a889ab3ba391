import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it, onTestFinished } from 'vitest'
import { connectInflux } from '../../ingest/store/influx-connection.ts'
import { hasInflux, startInflux } from '../support/influx-server.ts'
import { hasOpenssl, selfSigned } from '../support/self-signed.ts'
import { temporaryFolder } from '../support/temporary-folder.ts'

it.skipIf(!hasInflux || !hasOpenssl)(
  'talks to a server with a certificate of one’s own authority when told of it, and not otherwise',
  async () => {
    const folder = temporaryFolder()
    const { pem, certificateFile } = selfSigned(folder)
    const ownFile = join(folder, 'own.pem')
    writeFileSync(ownFile, pem)
    const influx = await startInflux({ pem: ownFile })
    onTestFinished(() => influx.close())
    const target = influx.target('_internal', { caFile: certificateFile })
    expect(target.url).toMatch(/^https:/)
    const trusting = connectInflux(target, { kind: 'none' })
    await expect(trusting.query('SHOW DATABASES')).resolves.toHaveLength(1)
    expect(await trusting.write(['reading value=1 1'])).toMatchObject({ kind: 'not-let-in' })

    const wary = connectInflux({ ...target, caFile: null }, { kind: 'none' })
    const refused = await wary.write(['reading value=1 1'])
    expect(refused).toMatchObject({ kind: 'unreachable', why: expect.stringMatching(/self-signed/) })
  },
)
