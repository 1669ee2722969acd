// The store of the phone: IndexedDB behind a few promises. A change counts when its transaction is complete, never before.
const NAME = "pinseal-field";
const FORM = 1;
// Later forms only add stores here: an update of the page must find what an older one left unsent.
const STORES = { meta: "key", units: "uid", sheets: "uid", drafts: "uid", photos: "sha256", walk: "unit" };

let opening;

function asked(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function opened() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, FORM);
    request.onupgradeneeded = () => {
      for (const [store, keyPath] of Object.entries(STORES)) {
        if (!request.result.objectStoreNames.contains(store)) request.result.createObjectStore(store, { keyPath });
      }
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
  });
  return opening;
}

export async function get(store, key) {
  return asked((await opened()).transaction(store).objectStore(store).get(key));
}

export async function all(store) {
  return asked((await opened()).transaction(store).objectStore(store).getAll());
}

// Writes all of them or none: [[store, value], …]; a value of {remove: key} takes one away, {clear: true} empties the store first.
export async function write(changes) {
  const db = await opened();
  const names = [...new Set(changes.map(([store]) => store))];
  if (!names.length) return;
  await new Promise((resolve, reject) => {
    const work = db.transaction(names, "readwrite", { durability: "strict" });
    work.oncomplete = resolve;
    work.onabort = () => reject(work.error);
    for (const [store, value] of changes) {
      const at = work.objectStore(store);
      if (value.clear === true) at.clear();
      else if (value.remove !== undefined) at.delete(value.remove);
      else at.put(value);
    }
  });
}

// Reads one value, lets `change` make another of it, and writes that in the same transaction, so that two windows never overwrite each other.
export async function change(store, key, change) {
  const db = await opened();
  return new Promise((resolve, reject) => {
    const work = db.transaction(store, "readwrite", { durability: "strict" });
    let made;
    work.oncomplete = () => resolve(made);
    work.onabort = () => reject(work.error);
    const at = work.objectStore(store);
    at.get(key).onsuccess = (event) => {
      made = change(event.target.result);
      if (made !== undefined) at.put(made);
    };
  });
}
