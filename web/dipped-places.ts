/** Measuring places where a spot reading can be taken with the wired meter; the server refuses it elsewhere. */
export const DIPPED_PLACES: readonly string[] = ['dipped', 'aliquot', 'companion-flask']
