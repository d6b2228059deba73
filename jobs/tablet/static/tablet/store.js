// Keeps acts in IndexedDB until the server has answered them. They are on disk before the page
// says "kept". Acts are numbered in the order in which they were entered.

const NAME = "paddock";
const VERSION = 1;

let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      // Only adds tables: a newer version of this page must find every older act.
      const db = request.result;
      if (!db.objectStoreNames.contains("acts")) {
        db.createObjectStore("acts", { keyPath: "n", autoIncrement: true }).createIndex("id", "id", { unique: true });
      }
      if (!db.objectStoreNames.contains("notes")) db.createObjectStore("notes");
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => {
        request.result.close();
        opened = null;
      };
      request.result.onclose = () => {
        opened = null;
      };
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
  });
  return opened;
}

async function run(store, mode, work) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(store, mode, { durability: "strict" });
    let given;
    const request = work(transaction.objectStore(store), (value) => {
      given = value;
    });
    transaction.oncomplete = () => resolve(given ?? request?.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error ?? request?.error);
  });
}

// Rejects when the disk is full: then nothing was kept, and the person is told at once.
export const keep = (act) => run("acts", "readwrite", (store) => store.add(act));

// An act about to be sent, marked as such: from then on it may have arrived, and only an
// answer says what became of it. Nothing when it was taken back or answered meanwhile.
export function claim(n) {
  return run("acts", "readwrite", (store, give) => {
    store.get(n).onsuccess = ({ target }) => {
      const act = target.result;
      if (act?.state !== "unsent") return;
      if (!act.tried) store.put({ ...act, tried: true });
      give(act);
    };
  });
}

// True if the act was still here and cannot have reached the server.
export function takeBack(n) {
  return run("acts", "readwrite", (store, give) => {
    store.get(n).onsuccess = ({ target }) => {
      const act = target.result;
      if (!act || (act.state === "unsent" && act.tried)) return;
      store.delete(n);
      give(true);
    };
  });
}

export const change = (act) => run("acts", "readwrite", (store) => store.put(act));

export const one = (n) => run("acts", "readonly", (store) => store.get(n));

export const kept = () => run("acts", "readonly", (store) => store.getAll());

export const forget = (n) => run("acts", "readwrite", (store) => store.delete(n));

export async function forgetId(id) {
  const act = await run("acts", "readonly", (store) => store.index("id").get(id));
  if (act) await forget(act.n);
}

export const note = (name, value) => run("notes", "readwrite", (store) => store.put(value, name));

export const noted = (name) => run("notes", "readonly", (store) => store.get(name));

// Deletes everything, when the tablet was reported lost.
export async function wipe() {
  const db = await open();
  db.close();
  opened = null;
  await new Promise((resolve) => {
    const request = indexedDB.deleteDatabase(NAME);
    request.onsuccess = request.onerror = request.onblocked = resolve;
  });
  for (const name of await caches.keys()) await caches.delete(name);
  for (const registration of await navigator.serviceWorker.getRegistrations()) await registration.unregister();
}
