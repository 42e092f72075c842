import { expect, it } from 'vitest';
import { figureWords, spanWords, timeWords } from '../../src/page/time/words.ts';

const plain = (text: string): string => text.replace(/[\u00A0\u202F]/g, ' ');

// As a meter with three digits shows it. Common practice, no source.
it.each([
  [42, '42.0 V'], [8.213, '8.21 V'], [9.996, '10.0 V'], [0.9996, '1.00 V'], [0.9994, '999 mV'], [0.0338, '33.8 mV'], [-0.0224, '−22.4 mV'], [1234, '1.23 kV'], [4e-4, '0 V'], [0, '0 V'], [NaN, 'none'], [Infinity, 'none'],
])('writes %d V as %s', (value, words) => {
  expect(plain(figureWords(value, 'voltage'))).toBe(words);
});

it('writes currents down to microamperes, temperatures to a tenth, speeds without a prefix', () => {
  expect(plain(figureWords(756e-6, 'current'))).toBe('756 µA');
  expect(plain(figureWords(1123.4, 'current'))).toBe('1.12 kA');
  expect(plain(figureWords(53.04, 'temperature'))).toBe('53.0 °C');
  expect(plain(figureWords(1655.4, 'angular speed'))).toBe('1655 rad/s');
});

it.each([
  [1.6881, 8, '1.688 s'], [3.0200123, 8e-5, '3.020 012 3 s'], [63, 180, '1 min 3.00 s'], [59.999, 180, '1 min 0.00 s'], [-0.4, 60, '−0.40 s'], [0, 8, '0.000 s'],
])('writes the moment %d s with the digits that a span of %d s tells apart', (moment, span, words) => {
  expect(plain(timeWords(moment, span))).toBe(words);
});

it('writes spans from microseconds to minutes', () => {
  expect([180, 61, 8.04, 0.02, 8.04e-5].map((span) => plain(spanWords(span)))).toEqual(['3 min', '61 s', '8 s', '20 ms', '80 µs']);
});
