// Reads the packed mesh of a piece. All numbers are little-endian. First a head of 64 bytes:
//   0  4 bytes  the letters HSHP          16  3 × f32  lowest corner of the box, mm
//   4  u16      version, 1                28  f32      step: coordinate = lowest + step × (stored + 32767), mm
//   6  u16      bytes of an index         32  6 × f32  least and greatest depth (mm), slope (degrees), fill (mm)
//   8  u32      number of points n        56  8 bytes  nought
//  12  u32      number of triangles m
// then n points of 12 bytes (3 × i16 place; u8 depth, slope, fill; u8 shell piece; 2 × i8 normal folded onto an
// octahedron), then 3 m indices.
(() => {
  "use strict";

  const HEAD = 64;
  const POINT = 12;

  const read = (buffer) => {
    const view = new DataView(buffer);
    const letters = buffer.byteLength >= HEAD ? String.fromCharCode(...new Uint8Array(buffer, 0, 4)) : "";
    if (letters !== "HSHP" || view.getUint16(4, true) !== 1) throw new Error("This is no mesh that this page can read.");
    const wide = view.getUint16(6, true) === 4;
    const points = view.getUint32(8, true);
    const triangles = view.getUint32(12, true);
    const start = HEAD + POINT * points;
    if (buffer.byteLength < start + 3 * triangles * (wide ? 4 : 2)) throw new Error("The mesh was cut off on its way.");
    const low = [16, 20, 24].map((at) => view.getFloat32(at, true));
    const step = view.getFloat32(28, true);
    const mesh = {
      points,
      low,
      step,
      wide,
      records: new Uint8Array(buffer, HEAD, POINT * points),
      indices: wide ? new Uint32Array(buffer, start, 3 * triangles) : new Uint16Array(buffer, start, 3 * triangles),
      ranges: {
        depth: [view.getFloat32(32, true), view.getFloat32(36, true)],
        slope: [view.getFloat32(40, true), view.getFloat32(44, true)],
        fill: [view.getFloat32(48, true), view.getFloat32(52, true)],
      },
    };
    const place = (index) => [0, 1, 2].map((axis) => low[axis] + step * (view.getInt16(HEAD + POINT * index + 2 * axis, true) + 32767));
    mesh.sample = [];
    for (let index = 0; index < points; index += Math.max(1, Math.floor(points / 600))) mesh.sample.push(place(index));
    mesh.high = [...low];
    for (let index = 0; index < points; index += 1) {
      for (let axis = 0; axis < 3; axis += 1) {
        const value = low[axis] + step * (view.getInt16(HEAD + POINT * index + 2 * axis, true) + 32767);
        if (value > mesh.high[axis]) mesh.high[axis] = value;
      }
    }
    mesh.middle = low.map((value, axis) => (value + mesh.high[axis]) / 2);
    mesh.radius = Math.max(...mesh.sample.map((point) => Math.hypot(...point.map((value, axis) => value - mesh.middle[axis])))) * 1.02 || 1;
    return mesh;
  };

  window.pieceShape = { read };
})();
