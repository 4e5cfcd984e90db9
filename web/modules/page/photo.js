/** The photo on its way out: made small enough to send, and cut up to show single lines. */

/** Longest side sent, in pixels: print of 6 points on a label that fills the photo stays some 20 pixels high. Judgement. */
const LONGEST = 2200;
const QUALITY = 0.9;
/** Share of a line's height that a crop shows around it, and its least width in such heights: a lone figure says little. */
const MARGIN = 0.6;
const LEAST_WIDTH = 12;

const pictures = new WeakMap();

/**
 * Return the photo as it should be sent: at most 2200 px on its longer side, upright, as JPEG.
 *
 * Drawing it anew also leaves out where it was taken. What this browser cannot draw goes out as it is.
 *
 * @param {Blob} file
 * @returns {Promise<Blob>}
 * @throws {Error} When the file is no picture that this browser can show, nor of a kind that the service knows.
 */
export async function photoToSend(file) {
  try {
    return (await drawnSmaller(file)) ?? file;
  } catch (error) {
    if (/^image\//.test(file.type)) return file;
    throw error;
  }
}

/**
 * Draw the part of the photo around `box` onto `canvas`.
 *
 * @param {HTMLCanvasElement} canvas
 * @param {Blob} photo As sent.
 * @param {number[]} box Left, top, width and height in pixels of the photo.
 */
export async function drawCrop(canvas, photo, [left, top, width, height]) {
  const picture = await pictureOf(photo);
  const margin = height * MARGIN;
  const wide = Math.max(width + 2 * margin, LEAST_WIDTH * height);
  const x = Math.max(0, left + width / 2 - wide / 2);
  const y = Math.max(0, top - margin);
  canvas.width = Math.min(picture.width - x, wide);
  canvas.height = Math.min(picture.height - y, height + 2 * margin);
  const pen = canvas.getContext("2d");
  pen.drawImage(picture, x, y, canvas.width, canvas.height, 0, 0, canvas.width, canvas.height);
}

async function drawnSmaller(file) {
  const { width, height } = await sizeOf(file);
  const scale = Math.min(1, LONGEST / Math.max(width, height));
  if (scale === 1 && /^image\/(png|webp)$/.test(file.type)) return file;
  // Resizing while decoding: a canvas above 16.7 million pixels stays silently black on iOS.
  const options = {
    resizeWidth: Math.round(width * scale),
    resizeHeight: Math.round(height * scale),
    resizeQuality: "high",
  };
  const picture = await createImageBitmap(file, options);
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [picture.width, picture.height];
  canvas.getContext("2d").drawImage(picture, 0, 0);
  picture.close();
  const drawn = isBlank(canvas) ? null : await toJpeg(canvas);
  [canvas.width, canvas.height] = [1, 1]; // frees the memory at once on iOS
  return drawn;
}

/** Return the size of a picture as it is seen, turned upright by the browser. */
async function sizeOf(file) {
  const url = URL.createObjectURL(file);
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    return { width: image.naturalWidth, height: image.naturalHeight };
  } finally {
    URL.revokeObjectURL(url);
  }
}

function isBlank(canvas) {
  const small = document.createElement("canvas");
  [small.width, small.height] = [16, 16];
  const pen = small.getContext("2d");
  pen.drawImage(canvas, 0, 0, 16, 16);
  const pixels = new Uint32Array(pen.getImageData(0, 0, 16, 16).data.buffer);
  return pixels.every((pixel) => pixel === pixels[0]);
}

function toJpeg(canvas) {
  return new Promise((resolve) => {
    canvas.toBlob(resolve, "image/jpeg", QUALITY);
  });
}

function pictureOf(photo) {
  if (!pictures.has(photo)) pictures.set(photo, createImageBitmap(photo));
  return pictures.get(photo);
}
