// What is recorded, kept in IndexedDB under the book's name. Everything is held in memory too, so
// that nothing is lost where the phone keeps nothing.
//
// Pages opened from files share one store in some browsers: what another page of the same book
// recorded is found here as well.

const STORES = ["records", "told", "settings"];

const store = {
  database: undefined,
  /** Why nothing is kept, in the browser's own word; nothing while it keeps. */
  refused: undefined,
  persists: undefined,
  records: new Map(),
  told: new Map(),
  settings: new Map(),
  /** Keys of what is in memory alone. */
  unkept: new Map(STORES.map(name => [name, new Set()])),
};

const asPromise = request =>
  new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });

const openStore = async () => {
  try {
    const request = indexedDB.open(`stintbook-field-${page.book}`, 1);
    request.onupgradeneeded = () =>
      STORES.forEach(name => request.result.createObjectStore(name, { keyPath: "id" }));
    store.database = await asPromise(request);
    // Another tab may want to make it anew; this one shall not stand in its way.
    store.database.onversionchange = () => store.database.close();
    store.refused = undefined;
  } catch (error) {
    store.refused = error?.name ?? String(error);
  }
};

/** Reads what other tabs and earlier days left, beside what is in memory alone. */
const readStore = async () => {
  if (!store.database) return;
  try {
    const reading = store.database.transaction(STORES, "readonly");
    const all = await Promise.all(
      STORES.map(name => asPromise(reading.objectStore(name).getAll())),
    );
    STORES.forEach((name, n) => {
      const own = [...store.unkept.get(name)].map(id => store[name].get(id));
      store[name] = new Map([...all[n], ...own].map(item => [item.id, item]));
    });
  } catch (error) {
    store.refused = error?.name ?? String(error);
  }
};

/** Keeps one thing: in memory at once, and then where it outlives the page. */
const keep = async (name, item) => {
  store[name].set(item.id, item);
  store.unkept.get(name).add(item.id);
  await saveUnkept();
  tellOthers();
};

const saveUnkept = async () => {
  if (!store.database) await openStore();
  if (!store.database) return;
  const waiting = STORES.flatMap(name => [...store.unkept.get(name)].map(id => [name, id]));
  if (waiting.length === 0) return;
  try {
    const items = waiting.map(([name, id]) => [name, id, store[name].get(id)]);
    const writing = store.database.transaction(STORES, "readwrite", { durability: "strict" });
    const done = new Promise((kept, failed) => {
      writing.oncomplete = kept;
      writing.onabort = () => failed(writing.error);
      writing.onerror = () => failed(writing.error);
    });
    for (const [name, , item] of items) writing.objectStore(name).put(item);
    await done;
    // What changed meanwhile is still to be kept.
    for (const [name, id, item] of items) {
      if (store[name].get(id) === item) store.unkept.get(name).delete(id);
    }
    store.refused = undefined;
  } catch (error) {
    store.refused = error?.name ?? String(error);
  }
};

const forget = async (name, ids) => {
  for (const id of ids) {
    store[name].delete(id);
    store.unkept.get(name).delete(id);
  }
  if (!store.database) return;
  try {
    const writing = store.database.transaction([name], "readwrite");
    ids.forEach(id => writing.objectStore(name).delete(id));
  } catch (error) {
    store.refused = error?.name ?? String(error);
  }
  tellOthers();
};

const isUnkept = () => STORES.some(name => name !== "settings" && store.unkept.get(name).size > 0);

/** Asks that the browser never clears it by itself; true, false, or nothing where nobody knows. */
const askToPersist = async () => {
  if (store.asked) return;
  store.asked = true;
  try {
    store.persists = (await navigator.storage.persisted()) || (await navigator.storage.persist());
  } catch {
    store.persists = undefined;
  }
};

const others = (() => {
  try {
    return new BroadcastChannel(`stintbook-field-${page.book}`);
  } catch {
    return undefined;
  }
})();

const tellOthers = () => others?.postMessage("kept");
