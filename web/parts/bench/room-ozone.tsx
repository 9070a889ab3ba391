import { ROOM_NOT_MEASURED } from '../../../server/wording/cautions.ts'
import { decimal } from '../../../server/wording/format.ts'

export const RoomOzone = ({ ppm }: { readonly ppm: number | null }) => (
  <p class={ppm === null ? 'room-ozone room-ozone-unknown' : 'room-ozone'}>
    {ppm === null ? ROOM_NOT_MEASURED : `Room ozone: ${decimal(ppm, 3)} ppm measured.`}
  </p>
)
