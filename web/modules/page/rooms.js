/** The parts of the app that few visitors come for: their sentences and looks, fetched when one is first opened. */

const fetched = new Map();

/**
 * Put a room's sentences and settings beside the other facts, and its styles on the page.
 *
 * @param {object} page
 * @param {"tours" | "privacy"} room
 * @throws {Error} When the sentences cannot be had.
 */
export function furnish({ facts }, room) {
  if (!fetched.has(room)) {
    const coming = load(facts, room).catch((error) => {
      fetched.delete(room);
      throw error;
    });
    fetched.set(room, coming);
  }
  return fetched.get(room);
}

async function load(facts, room) {
  const file = `data/${room}.json`;
  const response = await fetch(file);
  if (!response.ok) throw new Error(`${file} answered ${response.status}`);
  const { words, settings } = await response.json();
  for (const [lang, said] of Object.entries(words)) Object.assign(facts.words[lang], said);
  facts.settings = { ...facts.settings, ...settings };
  const href = `${room}.css`;
  if (document.querySelector(`link[href="${href}"]`)) return;
  const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href });
  const ready = new Promise((resolve) => (link.onload = link.onerror = resolve));
  document.head.append(link);
  await ready; // so that nothing moves when the styles come
}
