import { spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'

export const hasOpenssl = spawnSync('openssl', ['version']).status === 0

/** Key and certificate of an authority of one's own, for 127.0.0.1: together as PEM, and the certificate's file alone. */
export const selfSigned = (folder: string): { readonly pem: string; readonly certificateFile: string } => {
  const keyFile = join(folder, 'key.pem')
  const certificateFile = join(folder, 'certificate.pem')
  const subject = ['-subj', '/CN=127.0.0.1', '-addext', 'subjectAltName=IP:127.0.0.1']
  const made = spawnSync('openssl', [
    ...['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '2', ...subject],
    ...['-keyout', keyFile, '-out', certificateFile],
  ])
  if (made.status !== 0) throw new Error(made.stderr.toString())
  return { pem: readFileSync(keyFile, 'utf8') + readFileSync(certificateFile, 'utf8'), certificateFile }
}
