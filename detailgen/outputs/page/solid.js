// The solid of one joint: read from GLB, drawn with WebGL by one canvas for the whole page, cut, pulled apart, pointed at.
"use strict";

function readGlb(buffer) {
  const head = new DataView(buffer);
  const length = head.getUint32(12, true);
  const file = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
  const start = 28 + length;
  const kinds = { 5126: Float32Array, 5123: Uint16Array, 5125: Uint32Array };
  const values = (k) => {
    const a = file.accessors[k];
    const view = file.bufferViews[a.bufferView];
    return new kinds[a.componentType](buffer, start + view.byteOffset, a.count * (a.type === "VEC3" ? 3 : 1));
  };
  const screen = (v) => (v <= 0.0031308 ? 12.92 * v : 1.055 * Math.pow(v, 1 / 2.4) - 0.055);
  const meshes = file.meshes.map((m) => {
    const [faces, lines] = m.primitives;
    const box = file.accessors[faces.attributes.POSITION];
    const paint = file.materials[faces.material].pbrMetallicRoughness.baseColorFactor;
    return {
      points: values(faces.attributes.POSITION), normals: values(faces.attributes.NORMAL), triangles: values(faces.indices),
      lines: values(lines.indices), low: box.min, high: box.max, colour: paint.slice(0, 3).map(screen), paint: faces.material,
    };
  });
  const leaves = [];
  const identity = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];
  const walk = (k, above) => {
    const node = file.nodes[k];
    const here = node.matrix ? times(above, node.matrix) : above;
    if (node.mesh !== undefined) leaves.push({ name: node.name, mesh: node.mesh, matrix: here });
    for (const child of node.children || []) walk(child, here);
  };
  walk(file.scenes[0].nodes[0], identity); // the root's scale makes metres of inches and is left out here
  return { meshes, leaves };
}

function times(a, b) {
  const out = new Array(16).fill(0);
  for (let c = 0; c < 4; c++) for (let r = 0; r < 4; r++) for (let k = 0; k < 4; k++) out[4 * c + r] += a[4 * k + r] * b[4 * c + k];
  return out;
}
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

const POINT_SHADER = `#version 300 es
layout(location = 0) in vec3 at; layout(location = 1) in vec3 normal;
layout(location = 2) in vec4 cx; layout(location = 3) in vec4 cy; layout(location = 4) in vec4 cz; layout(location = 5) in vec4 place;
uniform vec3 right, up, back, middle; uniform vec3 size;
out vec3 world; out vec3 facing; out float marked;
void main() {
  world = cx.xyz * at.x + cy.xyz * at.y + cz.xyz * at.z + place.xyz;
  facing = cx.xyz * normal.x + cy.xyz * normal.y + cz.xyz * normal.z;
  marked = place.w;
  vec3 p = world - middle;
  gl_Position = vec4(dot(right, p) * size.x, dot(up, p) * size.y, -dot(back, p) * size.z, 1.0);
}`;
const FACE_SHADER = `#version 300 es
precision highp float;
in vec3 world; in vec3 facing; in float marked;
uniform vec4 cut; uniform vec4 colour; uniform vec3 accent; uniform vec3 right, up, back; uniform float kind;
out vec4 shown;
void main() {
  if (kind < 2.5 && dot(cut.xyz, world) > cut.w) discard;
  vec3 paint = marked > 0.5 ? accent : colour.rgb;
  if (kind < 0.5) { // a face
    float light = 0.62 + 0.38 * max(dot(normalize(facing), normalize(back + 0.5 * up - 0.35 * right)), 0.0);
    shown = vec4(paint * light, 1.0);
  } else if (kind < 2.5) { // an edge, or what only counts
    shown = vec4(colour.rgb, 1.0);
  } else { // a cut face, hatched
    vec3 a = abs(cut.xyz);
    vec2 flat2 = a.x > 0.5 ? world.zy : (a.y > 0.5 ? world.xz : world.xy);
    float line = fract((flat2.x + flat2.y) * colour.a);
    shown = vec4(line < 0.16 ? colour.rgb * 0.35 : colour.rgb, 1.0);
  }
}`;

// One GL canvas for all joints of the page; each joint's own canvas gets a copy of the picture.
class Painter {
  constructor() {
    this.canvas = document.createElement("canvas");
    const gl = this.canvas.getContext("webgl2", { antialias: true, stencil: true, preserveDrawingBuffer: true, alpha: true });
    if (!gl) throw new Error("this browser shows no WebGL 2");
    this.gl = gl;
    const program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, POINT_SHADER], [gl.FRAGMENT_SHADER, FACE_SHADER]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(program));
    gl.useProgram(program);
    this.uniform = {};
    for (const name of ["right", "up", "back", "middle", "size", "cut", "colour", "accent", "kind"]) {
      this.uniform[name] = gl.getUniformLocation(program, name);
    }
    this.square = this.prepared({
      points: new Float32Array([-1, -1, 0, 1, -1, 0, 1, 1, 0, -1, 1, 0]), normals: new Float32Array(12),
      triangles: new Uint16Array([0, 1, 2, 0, 2, 3]), lines: new Uint16Array(0),
    });
  }

  prepared(mesh) {
    const gl = this.gl;
    const array = gl.createVertexArray();
    gl.bindVertexArray(array);
    for (const [k, values] of [[0, mesh.points], [1, mesh.normals]]) {
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
      gl.enableVertexAttribArray(k);
      gl.vertexAttribPointer(k, 3, gl.FLOAT, false, 0, 0);
    }
    const places = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, places);
    for (let k = 0; k < 4; k++) {
      gl.enableVertexAttribArray(2 + k);
      gl.vertexAttribPointer(2 + k, 4, gl.FLOAT, false, 64, 16 * k);
      gl.vertexAttribDivisor(2 + k, 1);
    }
    const elements = [mesh.triangles, mesh.lines].map((values) => {
      const buffer = gl.createBuffer();
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, buffer);
      gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, values, gl.STATIC_DRAW);
      return { buffer, count: values.length, type: values instanceof Uint32Array ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT };
    });
    return { array, places, elements, count: 0 };
  }

  put(mesh, matrices) {
    const gl = this.gl;
    gl.bindBuffer(gl.ARRAY_BUFFER, mesh.places);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(matrices), gl.DYNAMIC_DRAW);
    mesh.count = matrices.length / 16;
  }

  draw(mesh, which) {
    if (!mesh.count || !mesh.elements[which].count) return;
    const gl = this.gl;
    gl.bindVertexArray(mesh.array);
    gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, mesh.elements[which].buffer);
    gl.drawElementsInstanced(which ? gl.LINES : gl.TRIANGLES, mesh.elements[which].count, mesh.elements[which].type, 0, mesh.count);
  }

  // Draw a joint as its camera sees it, and copy it into the joint's canvas.
  paint(joint, look) {
    const gl = this.gl;
    const { width, height } = joint.canvas;
    if (this.canvas.width < width || this.canvas.height < height) {
      this.canvas.width = Math.max(this.canvas.width, width);
      this.canvas.height = Math.max(this.canvas.height, height);
    }
    gl.viewport(0, this.canvas.height - height, width, height);
    gl.enable(gl.SCISSOR_TEST);
    gl.scissor(0, this.canvas.height - height, width, height);
    gl.clearColor(0, 0, 0, 0);
    gl.depthMask(true);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.depthFunc(gl.LEQUAL);
    const view = joint.view;
    const u = this.uniform;
    gl.uniform3fv(u.right, view.right);
    gl.uniform3fv(u.up, view.up);
    gl.uniform3fv(u.back, view.back);
    gl.uniform3fv(u.middle, joint.middle);
    gl.uniform3f(u.size, (2 * joint.scale) / joint.wide, (2 * joint.scale) / joint.tall, 1 / (4 * joint.reach));
    gl.uniform3fv(u.accent, look.accent);
    gl.uniform4fv(u.cut, joint.cut ? [...joint.cut.normal, joint.cut.at] : [0, 0, 0, 1]);
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    gl.uniform1f(u.kind, 0);
    for (const mesh of joint.prepared) {
      gl.uniform4f(u.colour, ...mesh.colour, 1);
      this.draw(mesh, 0);
    }
    gl.disable(gl.POLYGON_OFFSET_FILL);
    gl.uniform1f(u.kind, 1);
    gl.uniform4f(u.colour, ...look.edge, 1);
    for (const mesh of joint.prepared) this.draw(mesh, 1);
    if (joint.cut) this.caps(joint);
    const paper = joint.canvas.getContext("2d");
    paper.clearRect(0, 0, width, height);
    paper.drawImage(this.canvas, 0, 0, width, height, 0, 0, width, height);
  }

  // Fill what the cut opens: where a line of sight crosses the kept surfaces of one material an odd number of times, the cut goes through it.
  caps(joint) {
    const gl = this.gl;
    const { normal, at } = joint.cut;
    const k = normal.findIndex((v) => v !== 0);
    const place = joint.centre.map((v, j) => (j === k ? at * normal[k] : v));
    const along = [0, 1, 2].filter((j) => j !== k);
    const matrix = new Array(16).fill(0);
    matrix[along[0]] = matrix[4 + along[1]] = 4 * joint.reach;
    matrix.splice(12, 3, ...place);
    this.put(this.square, matrix);
    gl.enable(gl.STENCIL_TEST);
    for (const paint of new Set(joint.prepared.map((m) => m.paint))) {
      const meshes = joint.prepared.filter((m) => m.paint === paint);
      gl.clear(gl.STENCIL_BUFFER_BIT);
      gl.colorMask(false, false, false, false);
      gl.depthMask(false);
      gl.disable(gl.DEPTH_TEST);
      gl.stencilFunc(gl.ALWAYS, 0, 1);
      gl.stencilOp(gl.KEEP, gl.KEEP, gl.INVERT);
      gl.uniform1f(this.uniform.kind, 2);
      for (const mesh of meshes) this.draw(mesh, 0);
      gl.colorMask(true, true, true, true);
      gl.depthMask(true);
      gl.enable(gl.DEPTH_TEST);
      gl.stencilFunc(gl.EQUAL, 1, 1);
      gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
      gl.uniform1f(this.uniform.kind, 3);
      gl.uniform4f(this.uniform.colour, ...meshes[0].colour, 1.2);
      this.draw(this.square, 0);
    }
    gl.disable(gl.STENCIL_TEST);
  }
}

// Where a line of sight meets a leaf first: its distance along the line, or Infinity. ``keep`` says whether a point is still there after the cut.
function meets(mesh, matrix, from, way, keep) {
  const m = matrix;
  const p = [from[0] - m[12], from[1] - m[13], from[2] - m[14]];
  const o = [0, 4, 8].map((k) => m[k] * p[0] + m[k + 1] * p[1] + m[k + 2] * p[2]);
  const d = [0, 4, 8].map((k) => m[k] * way[0] + m[k + 1] * way[1] + m[k + 2] * way[2]);
  let near = -Infinity;
  let far = Infinity;
  for (let k = 0; k < 3; k++) {
    if (Math.abs(d[k]) < 1e-12) {
      if (o[k] < mesh.low[k] || o[k] > mesh.high[k]) return Infinity;
      continue;
    }
    const ends = [(mesh.low[k] - o[k]) / d[k], (mesh.high[k] - o[k]) / d[k]].sort((a, b) => a - b);
    near = Math.max(near, ends[0]);
    far = Math.min(far, ends[1]);
  }
  if (near > far + 1e-9) return Infinity;
  let best = Infinity;
  const q = mesh.points;
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    const [a, b, c] = [3 * mesh.triangles[t], 3 * mesh.triangles[t + 1], 3 * mesh.triangles[t + 2]];
    const e = [q[b] - q[a], q[b + 1] - q[a + 1], q[b + 2] - q[a + 2]];
    const f = [q[c] - q[a], q[c + 1] - q[a + 1], q[c + 2] - q[a + 2]];
    const h = [d[1] * f[2] - d[2] * f[1], d[2] * f[0] - d[0] * f[2], d[0] * f[1] - d[1] * f[0]];
    const det = dot(e, h);
    if (Math.abs(det) < 1e-12) continue;
    const s = [o[0] - q[a], o[1] - q[a + 1], o[2] - q[a + 2]];
    const u = dot(s, h) / det;
    if (u < 0 || u > 1) continue;
    const g = [s[1] * e[2] - s[2] * e[1], s[2] * e[0] - s[0] * e[2], s[0] * e[1] - s[1] * e[0]];
    const v = dot(d, g) / det;
    if (v < 0 || u + v > 1) continue;
    const along = dot(f, g) / det;
    if (along < best && keep([from[0] + way[0] * along, from[1] + way[1] * along, from[2] + way[2] * along])) best = along;
  }
  return best;
}
