/** A text for people, with values in the place of each %s. */
export function say(english, ...values) {
  let next = 0;
  return english.replaceAll('%s', () => values[next++]);
}
