import { render } from 'preact'
import { ViewerScreen } from './screens/viewer.tsx'

/** The page of a read-only viewer. It asks again and again; nothing is sent to it, and nothing can be entered. */
const place = document.getElementById('screen')
if (place !== null) render(<ViewerScreen />, place)
