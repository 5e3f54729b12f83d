/* salts.js - how a salt is called, and what it asks for. */
import { hasWord, say } from './words.js';

export const saltName = (salt) => (hasWord(`salt.${salt.id}`) ? say(`salt.${salt.id}`) : salt.name);

/* What a salt asks for: the garden's own note, and our words for what it is made of. */
export function saltCautions(salt) {
  const known = (salt.hazards || []).filter((hazard) => hasWord(`hazard.${hazard}`)).map((hazard) => say(`hazard.${hazard}`));
  return salt.own_caution ? [salt.caution, ...known] : known.length || !salt.caution ? known : [salt.caution];
}
