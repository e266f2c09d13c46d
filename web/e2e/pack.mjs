// Packed logs and workbooks for the browser tests, made here byte by byte.

import { crc32, deflateRawSync } from 'node:zlib';

/**
 * A .zip (APPNOTE.TXT 4.3).
 * @param {Record<string, string|Buffer>} files contents by name
 * @param {{locked?: boolean}} options locked: says that it needs a password
 */
export function zip(files, { locked = false } = {}) {
  const parts = [];
  const directory = [];
  let at = 0;
  for (const [name, content] of Object.entries(files)) {
    const bytes = Buffer.from(content);
    const packed = deflateRawSync(bytes);
    const path = Buffer.from(name);
    const common = Buffer.alloc(26);
    common.writeUInt16LE(20, 0); // version that is needed
    common.writeUInt16LE((locked ? 1 : 0) | 0x800, 2); // names are UTF-8
    common.writeUInt16LE(8, 4); // deflate
    common.writeUInt32LE(crc32(bytes), 10);
    common.writeUInt32LE(packed.length, 14);
    common.writeUInt32LE(bytes.length, 18);
    common.writeUInt16LE(path.length, 22);
    const place = Buffer.alloc(14);
    place.writeUInt32LE(at, 10);
    parts.push(Buffer.from('PK\x03\x04'), common, path, packed);
    directory.push(Buffer.from('PK\x01\x02\x14\0'), common, place, path);
    at += 30 + path.length + packed.length;
  }
  const list = Buffer.concat(directory);
  const end = Buffer.alloc(22);
  end.write('PK\x05\x06', 'latin1');
  end.writeUInt16LE(parts.length / 4, 8);
  end.writeUInt16LE(parts.length / 4, 10);
  end.writeUInt32LE(list.length, 12);
  end.writeUInt32LE(at, 16);
  return Buffer.concat([...parts, list, end]);
}

const text = (value) => value.replaceAll('&', '&amp;').replaceAll('<', '&lt;');

/**
 * An .xlsx. Cells that are {serial} are shown as dates and times.
 * @param {Record<string, (string|number|{serial: number})[][]>} sheets rows by name
 */
export function xlsx(sheets) {
  const names = Object.keys(sheets);
  const types = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';
  const cell = (value) => {
    if (typeof value === 'number') return `<c><v>${value}</v></c>`;
    if (typeof value === 'string') return `<c t="inlineStr"><is><t>${text(value)}</t></is></c>`;
    return `<c s="1"><v>${value.serial}</v></c>`;
  };
  const files = {
    '[Content_Types].xml': '<Types/>',
    '_rels/.rels': `<Relationships><Relationship Id="r" Type="${types}/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
    'xl/workbook.xml': `<workbook xmlns:r="${types}"><sheets>${names.map((name, k) => `<sheet name="${text(name)}" sheetId="${k + 1}" r:id="r${k}"/>`).join('')}</sheets></workbook>`,
    'xl/_rels/workbook.xml.rels': `<Relationships>${names.map((_, k) => `<Relationship Id="r${k}" Type="${types}/worksheet" Target="worksheets/${k}.xml"/>`).join('')}</Relationships>`,
    'xl/styles.xml': '<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/></cellXfs></styleSheet>',
  };
  names.forEach((name, k) => {
    files[`xl/worksheets/${k}.xml`] = `<worksheet><sheetData>${sheets[name].map((row) => `<row>${row.map(cell).join('')}</row>`).join('')}</sheetData></worksheet>`;
  });
  return zip(files);
}

/** An .ods with one sheet; cells that are {seconds} are times. */
export function ods(name, rows) {
  const spaces = ['office', 'table', 'text'].map((s) => `xmlns:${s}="urn:oasis:names:tc:opendocument:xmlns:${s}:1.0"`).join(' ');
  const cell = (value) => {
    if (typeof value === 'number') return `<table:table-cell office:value-type="float" office:value="${value}"/>`;
    if (typeof value === 'string') return `<table:table-cell office:value-type="string"><text:p>${text(value)}</text:p></table:table-cell>`;
    return `<table:table-cell office:value-type="time" office:time-value="PT${Math.floor(value.seconds / 60)}M${value.seconds % 60}S"/>`;
  };
  const sheet = rows.map((row) => `<table:table-row>${row.map(cell).join('')}</table:table-row>`).join('');
  return zip({
    mimetype: 'application/vnd.oasis.opendocument.spreadsheet',
    'content.xml': `<office:document-content ${spaces}><office:body><office:spreadsheet><table:table table:name="${text(name)}">${sheet}</table:table></office:spreadsheet></office:body></office:document-content>`,
  });
}
