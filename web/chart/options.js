// What ECharts is told: axes, zoom and series, in our colours. Everything the
// reader reads beside the curves (legend, readout) is HTML and not in here.

import { say } from '../shared/say.js';
import { decimalsOf, extent, markText, roundAxis } from './scale.js';
import { strokeOf } from './theme.js';

/** The plot's margins in CSS pixels, for a chart of that width. */
export function margins(width, theme, temperature) {
  const s = theme.size;
  const left = Math.round(s * (width < 480 ? 3 : 3.6));
  return {
    left,
    right: temperature ? left : Math.round(s * 1.2),
    top: Math.round(s * 2.2),
    bottom: Math.round(s * 5.6),
  };
}

/**
 * Ranges of the axes for what is visible.
 * @param {{voltage: Float64Array[], temperature: Float64Array[]}} data
 * @param {{from: number, to: number}} range of the abscissa
 */
export function ranges(data, range, cutoff, height) {
  const over = (list, so) => list.reduce((e, pairs) => extent(pairs, range.from, range.to, e), so);
  let v = over(data.voltage);
  if (v === undefined || !(v.high >= v.low)) v = { low: 0, high: 1 };
  if (cutoff !== null) v = { low: Math.min(v.low, cutoff), high: Math.max(v.high, cutoff) };
  const parts = Math.max(3, Math.min(8, Math.floor(height / 55)));
  const t = over(data.temperature);
  return {
    left: roundAxis(v.low, v.high, parts),
    right: t && t.high >= t.low ? roundAxis(t.low, t.high, parts) : null,
  };
}

/** @param {{left: object, right: object|null}} fit what ranges() gave */
export function axes(curves, theme, { left, right }, { min, max }, zoomed) {
  const label = { color: theme.quiet, fontSize: theme.size, fontFamily: theme.font, formatter: (x) => markText(x) };
  const title = { color: theme.ink, fontSize: theme.size, fontFamily: theme.font };
  const value = { type: 'value', axisLine: { show: false }, axisTick: { show: false }, nameTextStyle: title };
  return {
    xAxis: {
      ...value,
      min,
      max,
      name: curves.xLabel,
      nameLocation: 'middle',
      nameGap: theme.size * 1.9,
      axisLine: { show: true, onZero: false, lineStyle: { color: theme.edge } },
      axisTick: { show: true, lineStyle: { color: theme.edge } },
      // The ends of a zoomed axis are any number, so they go unlabelled.
      axisLabel: { ...label, hideOverlap: true, showMinLabel: !zoomed && min === 0, showMaxLabel: false },
      splitLine: { show: false },
    },
    yAxis: [
      ordinate(left, {
        ...value,
        name: curves.yLabel,
        nameTextStyle: { ...title, align: 'left', padding: [0, 0, 0, -theme.size * 2.6] },
        axisLabel: label,
        splitLine: { lineStyle: { color: theme.rule } },
      }),
      ordinate(right ?? { min: 0, max: 1, marks: [] }, {
        ...value,
        show: right !== null,
        position: 'right',
        name: curves.tLabel,
        nameTextStyle: { ...title, align: 'right', padding: [0, -theme.size * 2.6, 0, 0] },
        axisLabel: label,
        splitLine: { show: false },
      }),
    ],
  };
}

// ECharts would count its marks from the end of the axis, which is any number.
function ordinate({ min, max, marks }, axis) {
  const decimals = decimalsOf(marks);
  return {
    ...axis,
    min,
    max,
    axisLabel: { ...axis.axisLabel, customValues: marks, formatter: (x) => markText(x, decimals) },
    axisTick: { ...axis.axisTick, customValues: marks }, // grid lines follow these
  };
}

export function zooms(theme, margin) {
  const shared = { xAxisIndex: 0, filterMode: 'none', minSpan: 0.05 };
  return [
    // A finger that moves up or down over the chart scrolls the page.
    { ...shared, type: 'inside', throttle: 30, preventDefaultMouseMove: false },
    {
      ...shared,
      type: 'slider',
      throttle: 30,
      left: margin.left,
      right: margin.right,
      bottom: Math.round(theme.size * 0.6),
      height: Math.round(theme.size * 1.5),
      showDetail: false,
      showDataShadow: false,
      brushSelect: false,
      borderColor: theme.rule,
      borderRadius: 0,
      backgroundColor: 'transparent',
      fillerColor: theme.wash,
      handleStyle: { color: theme.sheet, borderColor: theme.accent, borderWidth: 1.5 },
      moveHandleSize: 0,
      emphasis: { handleStyle: { color: theme.wash, borderColor: theme.accent } },
    },
  ];
}

export const voltageId = (run) => `v ${run}`;
export const temperatureId = (run) => `t ${run}`;

/** One ECharts series for each curve, its temperature right after it. */
export function series(curves, data, theme, withTemperature, cutoff) {
  const list = [cutoffLine(theme, cutoff)];
  curves.series.forEach((one, i) => {
    const stroke = strokeOf(theme, one.colour);
    list.push(line(voltageId(one.run), 0, data.voltage[i], { ...stroke, width: 1.75 }));
    const t = data.temperatureOf[i];
    if (withTemperature && t) {
      list.push(line(temperatureId(one.run), 1, t, { color: stroke.color, type: [2, 3], width: 1.25, opacity: 0.9 }));
    }
  });
  return list;
}

function line(id, yAxisIndex, data, lineStyle) {
  return {
    type: 'line',
    id,
    yAxisIndex,
    dimensions: ['x', 'y'],
    data,
    lineStyle: { cap: 'butt', ...lineStyle },
    showSymbol: false,
    silent: true,
    animation: false,
    emphasis: { focus: 'series', lineStyle: { width: lineStyle.width * 1.8 } },
    blur: { lineStyle: { opacity: 0.22 } },
  };
}

function cutoffLine(theme, cutoff) {
  return {
    type: 'line',
    id: 'cut-off',
    data: [],
    silent: true,
    animation: false,
    markLine: {
      silent: true,
      symbol: 'none',
      animation: false,
      lineStyle: { color: theme.ink, type: [6, 4], width: 1 },
      blur: { lineStyle: { opacity: 1 }, label: { opacity: 1 } },
      label: {
        position: 'insideStartTop',
        formatter: cutoff === null ? '' : say('cut-off %s V', markText(cutoff)),
        color: theme.ink,
        fontSize: theme.size,
        fontFamily: theme.font,
        textBorderColor: theme.sheet,
        textBorderWidth: 3,
      },
      data: cutoff === null ? [] : [{ yAxis: cutoff }],
    },
  };
}
