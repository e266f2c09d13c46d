// The charts of a campaign as pictures to publish, each drawn from what the engine
// gives for it.

/** What there is to draw: a name for its file, and what the engine is asked. */
const CHARTS = [
  ['discharge curves', { do: 'curves', show: 'voltage', axis: 'charge' }],
  ['voltage over energy', { do: 'curves', show: 'voltage', axis: 'energy' }],
  ['incremental capacity', { do: 'curves', show: 'incremental' }],
  ['effective resistance', { do: 'curves', show: 'resistance' }],
  ['capacity over current', { do: 'compare', figure: 'capacity', axis: 'amps' }],
  ['energy over current', { do: 'compare', figure: 'energy', axis: 'amps' }],
  ['average voltage over current', { do: 'compare', figure: 'average', axis: 'amps' }],
  ['temperature rise over current', { do: 'compare', figure: 'rise', axis: 'amps' }],
  ['energy by mass', { do: 'compare', figure: 'mass', axis: 'amps' }],
  ['energy by volume', { do: 'compare', figure: 'volume', axis: 'amps' }],
  ['energy and power', { do: 'compare', figure: 'ragone' }],
];

/**
 * @param {(command: object) => Promise<{reply: object, buffers: ArrayBuffer[]}>} ask
 * @param {(chart: object, options: object) => Promise<string|Blob>} picture see chart/picture.js
 * @param {{format: 'svg'|'png', width: number, scale: number, hidden?: string[],
 *   source?: string, only?: string[]}} options hidden: runs that are not drawn;
 *   only: names of the charts that are wanted, all where it is not given
 * @returns {Promise<{name: string, caption: string, alt: string, made: string|Blob}[]>}
 *   those of which there is anything to draw
 */
export async function pictures(ask, picture, { format, width, scale, hidden = [], source = '', only }) {
  const all = [];
  for (const [name, command] of CHARTS) {
    if (only && !only.includes(name)) continue;
    const own = command.do === 'curves' && command.show !== 'resistance' ? { hidden } : {};
    const { reply, buffers } = await ask({ ...command, ...own, width: width * scale });
    const { curves, compared } = reply;
    const what = curves ?? compared;
    if (!what || what.why || what.series.length === 0) continue;
    const title = compared?.title || `${what.yLabel} over ${what.xLabel}`;
    const alt = `${title}. ${what.series.map((one) => one.name).join('; ')}. The figures are in the tables.`;
    const data = curves ? { curves, buffers, show: command.show } : { compared, buffers };
    const made = await picture(data, { format, width, scale, title: name[0].toUpperCase() + name.slice(1), note: what.note, source, alt });
    all.push({ name, caption: title, alt, made });
  }
  return all;
}
