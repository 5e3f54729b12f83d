/* id.js - names for entries, made on the phone, so that sending twice is harmless.
 *
 * UUID version 7, RFC 9562 (2024), section 5.7. crypto.randomUUID is missing on plain HTTP;
 * getRandomValues is not.
 */

/** now_ms: milliseconds since 1970 UTC. */
export function uuid7(now_ms = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(now_ms / 2 ** (8 * (5 - i))) % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}
