/** The sentences and the looks that only tours need, fetched when a tour is first opened. */

const WORDS = "data/tours.json";
const STYLES = "tours.css";
let fetched = null;

/**
 * Put the sentences beside the others and the styles on the page.
 *
 * @throws {Error} When the sentences cannot be had.
 */
export function getWords({ facts }) {
  fetched ??= load(facts).catch((error) => {
    fetched = null;
    throw error;
  });
  return fetched;
}

async function load(facts) {
  const response = await fetch(WORDS);
  if (!response.ok) throw new Error(`${WORDS} answered ${response.status}`);
  for (const [lang, words] of Object.entries(await response.json())) Object.assign(facts.words[lang], words);
  if (document.querySelector(`link[href="${STYLES}"]`)) return;
  const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: STYLES });
  const ready = new Promise((resolve) => (link.onload = link.onerror = resolve));
  document.head.append(link);
  await ready; // so that nothing moves when the styles come
}
