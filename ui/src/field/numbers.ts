// Numbers as they are shown: no more digits than they carry.

/** A distance to two digits, with thin spaces: `12 000`. */
export function rounded(km: number): string {
  const step = 10 ** Math.max(0, Math.floor(Math.log10(Math.max(1, Math.abs(km)))) - 1);
  return grouped(Math.round(km / step) * step);
}

/** A whole number with thin spaces between its thousands. */
export function grouped(value: number): string {
  return String(Math.round(value)).replaceAll(/\B(?=(\d{3})+$)/g, "\u202f");
}

/** Three significant digits, without an exponent. */
export function significant(value: number): string {
  return Number(value.toPrecision(3)).toString();
}
