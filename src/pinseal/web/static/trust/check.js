// Tries what the field page needs, one thing after the other, and writes beside each what came of it.

const ROUND = 1e6;

// The page holds the words, in the language of the shop.
function word(code, values = {}) {
  const text = document.querySelector(`[data-word="${code}"]`).textContent;
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}

function tell(name, good, words) {
  const place = document.getElementById(`check-${name}`);
  const shape = good === null ? "unknown" : good ? "ahead" : "overdue";
  place.className = `state state-${shape}`;
  place.querySelector("use").setAttribute("href", `#shape-${shape}`);
  place.querySelector("span").textContent = words;
  return good;
}

function secure() {
  return tell("secure", isSecureContext, word(isSecureContext ? "yes" : "secure-no"));
}

async function worker() {
  if (!("serviceWorker" in navigator)) return tell("worker", false, word("worker-no"));
  try {
    const made = await navigator.serviceWorker.register("/trust/worker.js", { scope: "/trust/" });
    await made.unregister();
    return tell("worker", true, word("yes"));
  } catch (error) {
    return tell("worker", false, word("no-because", { why: error.message }));
  }
}

function database() {
  return new Promise((done) => {
    try {
      const asked = indexedDB.open("pinseal-check", 1);
      asked.onerror = () => done(tell("database", false, word("database-no")));
      asked.onsuccess = () => {
        asked.result.close();
        indexedDB.deleteDatabase("pinseal-check");
        done(tell("database", true, word("yes")));
      };
    } catch (error) {
      done(tell("database", false, word("no-because", { why: error.message })));
    }
  });
}

async function room() {
  if (!navigator.storage?.estimate) return tell("room", null, word("room-untold"));
  const { quota = 0, usage = 0 } = await navigator.storage.estimate();
  const free = Math.floor((quota - usage) / ROUND);
  const kept = navigator.storage.persisted ? await navigator.storage.persisted() : false;
  return tell("room", free >= 200 ? true : null, word(kept ? "room-kept" : "room-asks", { mb: free }));
}

function camera() {
  const there = Boolean(navigator.mediaDevices?.getUserMedia);
  return tell("camera", there ? true : null, word(there ? "camera-yes" : "camera-no"));
}

const needed = [secure(), await worker(), await database()];
await room();
camera();
const able = needed.every(Boolean);
tell("all", able, word(able ? "able" : "not-able"));
