// Everything as files, and back from them. The same shape as a batch, so that a file imported on the
// desk and a later sending never double anything.

import { wire } from "./entries.js";
import { nowText } from "./time.js";

export const AT_ONCE = 2000;
// The desk takes files of up to 40 MB: photos are spread so that none comes near that.
const PHOTO_CHARS = 24 * 1024 * 1024, PHOTOS = 150;

const asText = blob => new Promise((done, failed) => {
  const reader = new FileReader();
  reader.onload = () => done(reader.result.slice(reader.result.indexOf(",") + 1));
  reader.onerror = () => failed(reader.error);
  reader.readAsDataURL(blob);
});

// One file, or several where there is much to carry. Photos come last: the spots and holes they show
// are in by then.
export async function makeFiles({ entries, photos, device, party }) {
  const parts = [];
  for (let first = 0; first < Math.max(1, entries.length); first += AT_ONCE) {
    parts.push({ entries: entries.slice(first, first + AT_ONCE).map(wire), photos: [], chars: 0 });
  }
  for (const { blob, ...about } of photos.filter(each => each.blob)) {
    const jpeg = await asText(blob);
    let last = parts[parts.length - 1];
    if (last.photos.length === PHOTOS || (last.photos.length && last.chars + jpeg.length > PHOTO_CHARS)) {
      last = { entries: [], photos: [], chars: 0 };
      parts.push(last);
    }
    last.photos.push({ ...about, jpeg });
    last.chars += jpeg.length;
  }
  const stamp = nowText();
  return parts.map((part, number) => ({
    name: `field-${stamp.slice(0, 16).replaceAll(":", "")}${parts.length > 1 ? `-${number + 1}` : ""}.json`,
    text: JSON.stringify({ device, party, sent_at: stamp, entries: part.entries, photos: part.photos }),
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
