// Draws a piece: triangles coloured by a layer, hatched where one looks into it, with parting lines, outlined in ink.
(() => {
  "use strict";

  const SURFACE = [`#version 300 es
    in vec3 place;
    in vec3 layers;
    in float piece;
    in vec2 folded;
    uniform mat3 turn;
    uniform vec3 low;
    uniform vec3 middle;
    uniform float step;
    uniform vec2 scale;
    uniform vec2 shift;
    uniform float deep;
    out vec3 at;
    out vec3 facing;
    out vec3 value;
    out vec4 firstPieces;
    out vec4 otherPieces;
    flat out float number;
    void main() {
      at = low + step * (place + 32767.0);
      vec3 seen = turn * (at - middle);
      gl_Position = vec4(seen.xy * scale + shift, -seen.z * deep, 1.0);
      float up = 1.0 - abs(folded.x) - abs(folded.y);
      float back = max(-up, 0.0);
      vec2 side = folded - back * vec2(folded.x >= 0.0 ? 1.0 : -1.0, folded.y >= 0.0 ? 1.0 : -1.0);
      facing = turn * normalize(vec3(side, up));
      value = layers;
      number = piece;
      // The share of each colour, so that the border between two pieces crosses a triangle straight.
      int colour = piece < 0.5 ? 7 : int(mod(piece - 1.0, 6.0) + 0.5);
      firstPieces = vec4(equal(ivec4(colour), ivec4(0, 1, 2, 3)));
      otherPieces = vec4(equal(ivec4(colour), ivec4(4, 5, 6, 7)));
    }`, `#version 300 es
    precision highp float;
    in vec3 at;
    in vec3 facing;
    in vec3 value;
    in vec4 firstPieces;
    in vec4 otherPieces;
    flat in float number;
    uniform int shown;
    uniform vec4 plane;
    uniform vec3 ramp[5];
    uniform vec3 pieces[8];
    uniform vec3 plain;
    uniform vec3 cutPaper;
    uniform vec3 ink;
    uniform float hatch;
    layout(location = 0) out vec4 colour;
    layout(location = 1) out vec4 read;
    vec3 ramped(float share) {
      float place = clamp(share, 0.0, 1.0) * 4.0;
      int low = min(int(place), 3);
      return mix(ramp[low], ramp[low + 1], place - float(low));
    }
    vec3 pieceColour() {
      int best = 0;
      float most = -1.0;
      for (int i = 0; i < 8; i += 1) {
        float share = i < 4 ? firstPieces[i] : otherPieces[i - 4];
        if (share > most) { most = share; best = i; }
      }
      return pieces[best];
    }
    void main() {
      if (dot(plane.xyz, at) > plane.w) discard;
      if (!gl_FrontFacing) {
        float line = mod(gl_FragCoord.x + gl_FragCoord.y, hatch) / hatch;
        colour = vec4(mix(cutPaper, ink, line < 0.2 ? 0.75 : 0.0), 1.0);
        read = vec4(0.0, 0.0, 0.0, 1.0);
        return;
      }
      vec3 base = plain;
      if (shown == 1) base = ramped(value.x);
      if (shown == 2) base = ramped(value.y);
      if (shown == 3) base = ramped(value.z);
      if (shown == 4) base = pieceColour();
      vec3 normal = normalize(facing);
      float light = 0.70 + 0.24 * clamp(dot(normal, vec3(-0.45, 0.62, 0.64)), -0.4, 1.0) + 0.08 * normal.z;
      colour = vec4(base * light, 1.0);
      read = vec4(value, (shown == 4 ? number : 0.0) / 255.0);
    }`];

  const LINE = [`#version 300 es
    in vec3 from;
    in vec3 to;
    in vec2 corner;
    uniform mat3 turn;
    uniform vec3 middle;
    uniform vec2 scale;
    uniform vec2 shift;
    uniform float deep;
    uniform vec2 wide;
    out vec3 at;
    void main() {
      vec3 a = turn * (from - middle);
      vec3 b = turn * (to - middle);
      vec2 along = (b.xy - a.xy) * scale / wide;
      float length2 = dot(along, along);
      along = length2 > 1e-12 ? along * inversesqrt(length2) : vec2(1.0, 0.0);
      vec3 here = corner.x > 0.5 ? b : a;
      vec2 out2 = corner.y * vec2(-along.y, along.x) + (corner.x > 0.5 ? 0.5 : -0.5) * along;
      at = corner.x > 0.5 ? to : from;
      gl_Position = vec4(here.xy * scale + shift + out2 * wide, -here.z * deep - 0.004, 1.0);
    }`, `#version 300 es
    precision highp float;
    in vec3 at;
    uniform vec4 plane;
    uniform vec3 tone;
    layout(location = 0) out vec4 colour;
    layout(location = 1) out vec4 read;
    void main() {
      if (dot(plane.xyz, at) > plane.w) discard;
      colour = vec4(tone, 1.0);
      read = vec4(0.0, 0.0, 0.0, 1.0);
    }`];

  // From the finer picture to the canvas: average, and ink where the surface breaks off.
  const SHEET = [`#version 300 es
    void main() {
      vec2 corner = vec2(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0);
      gl_Position = vec4(corner, 0.0, 1.0);
    }`, `#version 300 es
    precision highp float;
    uniform sampler2D picture;
    uniform highp sampler2D depths;
    uniform int finer;
    uniform float bend;
    uniform vec3 ink;
    out vec4 colour;
    float near(ivec2 place) {
      return texelFetch(depths, clamp(place, ivec2(0), textureSize(depths, 0) - 1), 0).r;
    }
    void main() {
      vec4 sum = vec4(0.0);
      ivec2 first = ivec2(gl_FragCoord.xy) * finer;
      for (int i = 0; i < finer; i += 1) {
        for (int j = 0; j < finer; j += 1) {
          ivec2 place = first + ivec2(i, j);
          vec4 seen = texelFetch(picture, place, 0);
          float here = near(place);
          float across = near(place + ivec2(1, 0)) + near(place - ivec2(1, 0)) - 2.0 * here;
          float down = near(place + ivec2(0, 1)) + near(place - ivec2(0, 1)) - 2.0 * here;
          float line = 0.72 * clamp(max(across, down) * bend - 0.35, 0.0, 1.0);
          sum += vec4(mix(seen.rgb, ink, line), 1.0) * seen.a;
        }
      }
      colour = sum / float(finer * finer);
    }`];

  const program = (gl, [vertex, fragment]) => {
    const made = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS) && !gl.isContextLost()) throw new Error(gl.getShaderInfoLog(shader));
      gl.attachShader(made, shader);
    }
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error(gl.getProgramInfoLog(made));
    const places = new Map();
    return {
      made,
      at: (name) => gl.getAttribLocation(made, name),
      uniform: (name) => {
        if (!places.has(name)) places.set(name, gl.getUniformLocation(made, name));
        return places.get(name);
      },
    };
  };

  const ribbons = (lines) => {
    const rows = [];
    for (const line of lines) {
      for (let i = 0; i + 1 < line.length; i += 1) {
        for (const corner of [[0, -1], [1, -1], [1, 1], [0, -1], [1, 1], [0, 1]]) rows.push(...line[i], ...line[i + 1], ...corner);
      }
    }
    return new Float32Array(rows);
  };

  class Scene {
    constructor(canvas, mesh, lines) {
      this.canvas = canvas;
      this.mesh = mesh;
      this.gl = canvas.getContext("webgl2", { alpha: true, antialias: false, premultipliedAlpha: true, preserveDrawingBuffer: true });
      if (!this.gl) throw new Error("This browser cannot turn pictures here.");
      this.lines = ribbons(lines);
      this.build();
    }

    build() {
      const { gl, mesh } = this;
      this.surface = program(gl, SURFACE);
      this.line = program(gl, LINE);
      this.sheet = program(gl, SHEET);
      this.surfaceArray = gl.createVertexArray();
      gl.bindVertexArray(this.surfaceArray);
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, mesh.records, gl.STATIC_DRAW);
      for (const [name, count, kind, shares, offset] of [
        ["place", 3, gl.SHORT, false, 0], ["layers", 3, gl.UNSIGNED_BYTE, true, 6], ["piece", 1, gl.UNSIGNED_BYTE, false, 9],
        ["folded", 2, gl.BYTE, true, 10],
      ]) {
        gl.enableVertexAttribArray(this.surface.at(name));
        gl.vertexAttribPointer(this.surface.at(name), count, kind, shares, 12, offset);
      }
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, mesh.indices, gl.STATIC_DRAW);
      this.lineArray = gl.createVertexArray();
      gl.bindVertexArray(this.lineArray);
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, this.lines, gl.STATIC_DRAW);
      for (const [name, count, offset] of [["from", 3, 0], ["to", 3, 12], ["corner", 2, 24]]) {
        gl.enableVertexAttribArray(this.line.at(name));
        gl.vertexAttribPointer(this.line.at(name), count, gl.FLOAT, false, 32, offset);
      }
      this.emptyArray = gl.createVertexArray();
      this.frame = gl.createFramebuffer();
      this.size = "";
    }

    // Textures as large as the finer picture; made anew when the canvas changes its size.
    room(width, height) {
      if (this.size === `${width}x${height}`) return;
      const { gl } = this;
      const texture = (inner, format, kind, where) => {
        const made = gl.createTexture();
        gl.bindTexture(gl.TEXTURE_2D, made);
        gl.texStorage2D(gl.TEXTURE_2D, 1, inner, width, height);
        for (const side of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) gl.texParameteri(gl.TEXTURE_2D, side, gl.NEAREST);
        gl.framebufferTexture2D(gl.FRAMEBUFFER, where, gl.TEXTURE_2D, made, 0);
        return made;
      };
      for (const old of [this.picture, this.values, this.depths]) if (old) gl.deleteTexture(old);
      gl.bindFramebuffer(gl.FRAMEBUFFER, this.frame);
      this.picture = texture(gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, gl.COLOR_ATTACHMENT0);
      this.values = texture(gl.RGBA8, gl.RGBA, gl.UNSIGNED_BYTE, gl.COLOR_ATTACHMENT1);
      this.depths = texture(gl.DEPTH_COMPONENT24, gl.DEPTH_COMPONENT, gl.UNSIGNED_INT, gl.DEPTH_ATTACHMENT);
      gl.drawBuffers([gl.COLOR_ATTACHMENT0, gl.COLOR_ATTACHMENT1]);
      this.size = `${width}x${height}`;
    }

    // `sight` has turn (9 numbers, by column), scale (pixels of the canvas for a mm) and shift (pixels).
    draw({ sight, shown, plane, look }) {
      const { gl, canvas, mesh } = this;
      const finer = (window.devicePixelRatio || 1) < 1.75 ? 2 : 1;
      const [width, height] = [canvas.width * finer, canvas.height * finer];
      this.finer = finer;
      this.room(width, height);
      const deep = 1 / (1.6 * mesh.radius);
      const scale = [(2 * sight.scale) / canvas.width, (2 * sight.scale) / canvas.height];
      const shift = [(2 * sight.shift[0]) / canvas.width, (-2 * sight.shift[1]) / canvas.height];
      gl.bindFramebuffer(gl.FRAMEBUFFER, this.frame);
      gl.viewport(0, 0, width, height);
      gl.disable(gl.BLEND);
      gl.enable(gl.DEPTH_TEST);
      gl.clearBufferfv(gl.COLOR, 0, [0, 0, 0, 0]);
      gl.clearBufferfv(gl.COLOR, 1, [0, 0, 0, 1]);
      gl.clearBufferfv(gl.DEPTH, 0, [1]);
      const common = (part) => {
        gl.useProgram(part.made);
        gl.uniformMatrix3fv(part.uniform("turn"), false, sight.turn);
        gl.uniform3fv(part.uniform("middle"), mesh.middle);
        gl.uniform2fv(part.uniform("scale"), scale);
        gl.uniform2fv(part.uniform("shift"), shift);
        gl.uniform1f(part.uniform("deep"), deep);
        gl.uniform4fv(part.uniform("plane"), plane);
      };
      common(this.surface);
      const set = this.surface.uniform;
      gl.uniform3fv(set("low"), mesh.low);
      gl.uniform1f(set("step"), mesh.step);
      gl.uniform1i(set("shown"), shown);
      gl.uniform3fv(set("ramp[0]"), look.ramp);
      gl.uniform3fv(set("pieces[0]"), look.pieces);
      gl.uniform3fv(set("plain"), look.plain);
      gl.uniform3fv(set("cutPaper"), look.cut);
      gl.uniform3fv(set("ink"), look.hatch);
      gl.uniform1f(set("hatch"), 8 * finer * (window.devicePixelRatio || 1));
      gl.bindVertexArray(this.surfaceArray);
      gl.drawElements(gl.TRIANGLES, mesh.indices.length, mesh.wide ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT, 0);
      if (this.lines.length && shown === 4) {
        common(this.line);
        gl.bindVertexArray(this.lineArray);
        // A pale rim first and the ink over it, so that a line reads on light and on dark; neither hides what is drawn later.
        gl.depthMask(false);
        for (const [pixels, tone] of [[4.2, look.rim], [2.0, look.ink]]) {
          const half = (pixels * (window.devicePixelRatio || 1)) / 2;
          gl.uniform2fv(this.line.uniform("wide"), [(2 * half) / canvas.width, (2 * half) / canvas.height]);
          gl.uniform3fv(this.line.uniform("tone"), tone);
          gl.drawArrays(gl.TRIANGLES, 0, this.lines.length / 8);
        }
        gl.depthMask(true);
      }
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.disable(gl.DEPTH_TEST);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT);
      gl.useProgram(this.sheet.made);
      for (const [unit, texture, name] of [[0, this.picture, "picture"], [1, this.depths, "depths"]]) {
        gl.activeTexture(gl.TEXTURE0 + unit);
        gl.bindTexture(gl.TEXTURE_2D, texture);
        gl.uniform1i(this.sheet.uniform(name), unit);
      }
      gl.uniform1i(this.sheet.uniform("finer"), finer);
      gl.uniform1f(this.sheet.uniform("bend"), ((2 / deep) * sight.scale * finer) / 14);
      gl.uniform3fv(this.sheet.uniform("ink"), look.outline);
      gl.bindVertexArray(this.emptyArray);
      gl.drawArrays(gl.TRIANGLES, 0, 3);
    }

    // What lies under a pixel of the canvas: shares of depth, slope and fill, and the number of the shell piece.
    under(x, y) {
      const { gl, canvas, finer } = this;
      if (!this.picture || x < 0 || y < 0 || x >= canvas.width || y >= canvas.height) return null;
      const found = new Uint8Array(4);
      gl.bindFramebuffer(gl.FRAMEBUFFER, this.frame);
      gl.readBuffer(gl.COLOR_ATTACHMENT1);
      gl.readPixels(Math.floor(x * finer), Math.floor((canvas.height - 1 - y) * finer), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, found);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      if (found[3] === 255) return null;
      return { depth: found[0] / 255, slope: found[1] / 255, fill: found[2] / 255, piece: found[3] };
    }
  }

  window.pieceShape.Scene = Scene;
})();
