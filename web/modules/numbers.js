/** Rounding and printing of numbers, the same here and in `shelfcheck/numbers.py`. */

// A decimal such as 0.15 is stored a hair below or above itself; with the slack 2.4999999999 is the tie it is.
const SLACK = 1e-9;
const DENOMINATORS = [2, 3, 4, 8, 6];
const THIRDS = [3, 6];
const NEAR_THIRD = 0.0035;
const NEAR = 0.002;

/** Round `value` to `decimals` places; ties go up, as label rules and people do. */
export function roundHalfUp(value, decimals = 0) {
  const scale = 10 ** decimals;
  return Math.floor(value * scale + 0.5 + SLACK) / scale;
}

/** Round `value` to the nearest multiple of `step`; ties go up. */
export function roundToStep(value, step) {
  return Math.floor(value / step + 0.5 + SLACK) * step;
}

/** Return the root of the sum of squares, added in the order given (Math.hypot differs between engines). */
export function quadrature(...parts) {
  let total = 0;
  for (const part of parts) total += part * part;
  return Math.sqrt(total);
}

/** Return thirds and sixths in full where they were cut short in print (0.667 or 0.67 is 2/3). */
export function exactThirds(value) {
  for (const denominator of THIRDS) {
    const numerator = Math.floor(value * denominator + 0.5);
    const exact = numerator / denominator;
    if (numerator % denominator && Math.abs(value - exact) < NEAR_THIRD) return exact;
  }
  return value;
}

/** Print `value` as a cook would ("2/3", "1 1/2", "3"), or with two decimals at most. */
export function asFraction(value) {
  const whole = Math.floor(value + NEAR);
  const rest = value - whole;
  if (Math.abs(rest) <= NEAR) return String(whole);
  for (const denominator of DENOMINATORS) {
    const numerator = Math.floor(rest * denominator + 0.5);
    if (numerator > 0 && numerator < denominator && Math.abs(rest - numerator / denominator) <= NEAR) {
      return whole ? `${whole} ${numerator}/${denominator}` : `${numerator}/${denominator}`;
    }
  }
  return plain(roundHalfUp(value, 2));
}

/** Print a rounded number; a whole one has no decimals. */
export function plain(value) {
  return String(value);
}

/** Print `value` with at most `places` decimals, ties going up. */
export function decimals(value, places = 2) {
  return plain(roundHalfUp(value, places));
}

/** Print every digit of a positive number, never with an exponent. */
export function allDigits(value) {
  const [digits, power] = String(value).split("e-");
  return power ? `0.${"0".repeat(power - 1)}${digits.replace(".", "")}` : digits;
}

/** Print `value` with six digits, as Python's format `:g` does in a sentence. */
export function general(value) {
  if (value === 0) return "0";
  let [digits, power] = value.toExponential(5).split("e").map(Number);
  const tie = /^(\d\.\d{4}[02468])50*e/.exec(value.toExponential(20));
  if (tie) digits = Number(tie[1]); // Python sends an exact tie to the even digit
  if (power < -4 || power >= 6) {
    return `${digits}e${power < 0 ? "-" : "+"}${String(Math.abs(power)).padStart(2, "0")}`;
  }
  return String(Number(`${digits}e${power}`));
}
