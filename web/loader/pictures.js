// The charts of a campaign as pictures to publish, each drawn from what the engine
// gives for it.

import { later, say } from '../shared/say.js';

/** What there is to draw: a name for its file, its title, and what the engine is asked. */
const CHARTS = [
  [later('discharge curves'), later('Discharge curves'), { do: 'curves', show: 'voltage', axis: 'charge' }],
  [later('voltage over energy'), later('Voltage over energy'), { do: 'curves', show: 'voltage', axis: 'energy' }],
  [later('incremental capacity'), later('Incremental capacity'), { do: 'curves', show: 'incremental' }],
  [later('effective resistance'), later('Effective resistance'), { do: 'curves', show: 'resistance' }],
  [later('capacity over current'), later('Capacity over current'), { do: 'compare', figure: 'capacity', axis: 'amps' }],
  [later('energy over current'), later('Energy over current'), { do: 'compare', figure: 'energy', axis: 'amps' }],
  [later('average voltage over current'), later('Average voltage over current'), { do: 'compare', figure: 'average', axis: 'amps' }],
  [later('temperature rise over current'), later('Temperature rise over current'), { do: 'compare', figure: 'rise', axis: 'amps' }],
  [later('energy by mass'), later('Energy by mass'), { do: 'compare', figure: 'mass', axis: 'amps' }],
  [later('energy by volume'), later('Energy by volume'), { do: 'compare', figure: 'volume', axis: 'amps' }],
  [later('energy and power'), later('Energy and power'), { do: 'compare', figure: 'ragone' }],
];

/**
 * @param {(command: object) => Promise<{reply: object, buffers: ArrayBuffer[]}>} ask
 * @param {(chart: object, options: object) => Promise<string|Blob>} picture see chart/picture.js
 * @param {{format: 'svg'|'png', width: number, scale: number, hidden?: string[],
 *   source?: string, only?: string[]}} options hidden: runs that are not drawn;
 *   only: English names of the charts that are wanted, all where it is not given
 * @returns {Promise<{name: string, caption: string, alt: string, made: string|Blob}[]>}
 *   those of which there is anything to draw
 */
export async function pictures(ask, picture, { format, width, scale, hidden = [], source = '', only }) {
  const all = [];
  for (const [name, head, command] of CHARTS) {
    if (only && !only.includes(name)) continue;
    const own = command.do === 'curves' && command.show !== 'resistance' ? { hidden } : {};
    const { reply, buffers } = await ask({ ...command, ...own, width: width * scale });
    const { curves, compared } = reply;
    const what = curves ?? compared;
    if (!what || what.why || what.series.length === 0) continue;
    const title = compared?.title || say('%s over %s', what.yLabel, what.xLabel);
    const alt = say('%s. %s. The figures are in the tables.', title, what.series.map((one) => one.name).join('; '));
    const data = curves ? { curves, buffers, show: command.show } : { compared, buffers };
    const made = await picture(data, { format, width, scale, title: say(head), note: what.note, source, alt });
    all.push({ name: say(name), caption: title, alt, made });
  }
  return all;
}
