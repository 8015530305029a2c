// A photo shrunk on the phone. Drawing it anew leaves its tags behind, position included; place and
// time are put beside it only if the party keeps them.

import { t } from "./speak.js";

const LONG_SIDE_PX = 1600;
const QUALITY = 0.82;

export class NotAPhoto extends Error {}

export async function shrink(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    throw new NotAPhoto(t("“{name}” can't be read as a picture here, so it isn't kept. Take it as JPEG.", { name: file.name }));
  }
  const scale = Math.min(1, LONG_SIDE_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise(done => canvas.toBlob(done, "image/jpeg", QUALITY));
  if (!blob) throw new NotAPhoto(t("The phone couldn't write the picture. Try a smaller one."));
  return { blob, width: canvas.width, height: canvas.height };
}

// The phone's position as text, or null with the reason why not.
export function position() {
  return new Promise(done => {
    if (!navigator.geolocation || !isSecureContext) {
      done({ lat: null, reason: t("The phone gives its position only to a page opened over HTTPS.") });
      return;
    }
    navigator.geolocation.getCurrentPosition(
      found => done({
        lat: found.coords.latitude.toFixed(6), lon: found.coords.longitude.toFixed(6),
        within_m: Math.round(found.coords.accuracy), reason: "",
      }),
      problem => done({
        lat: null,
        reason: problem.code === 1 ? t("The phone wasn't allowed to give its position.") : t("The phone found no position. Try again under open sky."),
      }),
      { enableHighAccuracy: true, timeout: 30000, maximumAge: 60000 },
    );
  });
}
