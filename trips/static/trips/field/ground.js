// Positions → metres on a flat map round one point, and what a map needs to be read. Pure.

const METRES_A_DEGREE = 111195;  // of latitude, on a sphere of 6371 km: enough for a creek

// Metres east and north of an origin; the short way over the date line.
export function metres([lat, lon], origin) {
  const degrees = ((((lon - origin[1]) % 360) + 540) % 360) - 180;
  return [degrees * METRES_A_DEGREE * Math.cos((origin[0] * Math.PI) / 180), (lat - origin[0]) * METRES_A_DEGREE];
}

// How far and which way, in words: "120 m NE".
const WINDS = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
export function away(from, to) {
  const [east, north] = metres(to, from);
  const far = Math.hypot(east, north);
  const wind = WINDS[((Math.round(Math.atan2(east, north) / (Math.PI / 4)) % 8) + 8) % 8];
  return { far, text: `${distance(far)}${far >= 5 ? ` ${wind}` : ""}` };
}

export const distance = far => (far < 1000 ? `${Math.round(far)} m` : `${(far / 1000).toFixed(far < 10000 ? 1 : 0)} km`);

// A round length (1, 2 or 5 with noughts) of at most `most` metres.
export function roundLength(most) {
  const ten = 10 ** Math.floor(Math.log10(most));
  return ten * (most / ten >= 5 ? 5 : most / ten >= 2 ? 2 : 1);
}

// Everything in GeoJSON as { kind, name, detail, points | lines }, latitude first.
export function things(collection) {
  const turned = line => line.map(([lon, lat]) => [lat, lon]);
  return ((collection && collection.features) || []).map(({ properties, geometry }) => {
    const about = { kind: properties.kind, name: properties.name, detail: properties.detail };
    if (geometry.type === "Point") return { ...about, point: turned([geometry.coordinates])[0], lines: [] };
    const lines = geometry.type === "MultiPolygon" ? geometry.coordinates.flat() : geometry.coordinates;
    return { ...about, point: null, lines: lines.map(turned) };
  });
}

// A line without the points that a pixel can't tell apart.
export function thinned(line, least) {
  const kept = [];
  line.forEach((point, number) => {
    const last = kept[kept.length - 1];
    if (!last || number === line.length - 1 || Math.hypot(point[0] - last[0], point[1] - last[1]) >= least) kept.push(point);
  });
  return kept;
}
