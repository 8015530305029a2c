// Everything as files, and back from them. The same shape as a batch, so that a file imported on the
// desk and a later sending never double anything.

import { wire } from "./entries.js";
import { nowText } from "./time.js";

export const AT_ONCE = 2000;

const asText = blob => new Promise((done, failed) => {
  const reader = new FileReader();
  reader.onload = () => done(reader.result.slice(reader.result.indexOf(",") + 1));
  reader.onerror = () => failed(reader.error);
  reader.readAsDataURL(blob);
});

// One file, or several where there is much to carry. Photos that wait travel in the first.
export async function makeFiles({ entries, photos, device, party }) {
  const parts = [];
  for (let first = 0; first < Math.max(1, entries.length); first += AT_ONCE) {
    parts.push(entries.slice(first, first + AT_ONCE));
  }
  const carried = [];
  for (const photo of photos.filter(each => each.blob)) {
    const { blob, ...about } = photo;
    carried.push({ ...about, jpeg: await asText(blob) });
  }
  const stamp = nowText();
  return parts.map((part, number) => ({
    name: `field-${stamp.slice(0, 16).replaceAll(":", "")}${parts.length > 1 ? `-${number + 1}` : ""}.json`,
    text: JSON.stringify({
      device, party, sent_at: stamp, entries: part.map(wire), photos: number ? [] : carried,
    }),
  }));
}

export function offer({ name, text }) {
  const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}
