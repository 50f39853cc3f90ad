/** The camera of the phone, and choosing a photo that was taken already. */
import { useEffect, useRef, useState } from "preact/hooks";
import { burstOf } from "../../photo/burst";
import { type Camera, close, light, open, shoot } from "../../photo/camera";
import { kindsTaken } from "../../photo/keep";
import { Shape } from "../../ui/shapes";
import { type Key, t } from "../../words";

/** Ruled lines as in a copybook: the print should lie between the upper and the lower. */
function Guide() {
  return (
    <svg viewBox="0 0 200 120" preserveAspectRatio="none" aria-hidden="true" focusable="false">
      <path d="M0 2h200M0 118h200" fill="none" stroke="#fbf8f1" stroke-width="3" vector-effect="non-scaling-stroke" />
      <path
        d="M0 41h200M0 79h200"
        stroke="#fbf8f1"
        stroke-width="1.5"
        stroke-dasharray="3 6"
        vector-effect="non-scaling-stroke"
      />
    </svg>
  );
}

/**
 * Keys that take the photo where the hand cannot reach the button: a remote or a keyboard sends them,
 * the sides of some phones as well (W3C, UI Events KeyboardEvent key values).
 */
const fires = new Set(["Enter", " ", "AudioVolumeUp", "AudioVolumeDown", "Camera"]);
/** What has a use of its own for Enter and the space bar. */
const own = "button, a, input, select, textarea, summary, label, dialog";

export function Viewer({ taken, problem }: { taken: (photos: Blob[]) => void; problem: string }) {
  const video = useRef<HTMLVideoElement>(null);
  const camera = useRef<Camera | null>(null);
  const [state, setState] = useState<"opening" | "on" | "off">("opening");
  const [torch, setTorch] = useState(false);
  const [hasTorch, setHasTorch] = useState(false);
  const [why, setWhy] = useState<Key>("camera.none");
  const [firing, setFiring] = useState(0);
  useEffect(() => {
    let here = true;
    open().then(
      (opened) => {
        if (!here) {
          close(opened);
          return;
        }
        camera.current = opened;
        setHasTorch(opened.torch);
        setState("on");
        if (video.current !== null) video.current.srcObject = opened.stream;
      },
      (failure: unknown) => {
        setState("off");
        setWhy(failure instanceof DOMException && failure.name === "NotAllowedError" ? "camera.denied" : "camera.none");
      },
    );
    return () => {
      here = false;
      if (camera.current !== null) close(camera.current);
    };
  }, []);
  const fire = async (times: number) => {
    const photos: Blob[] = [];
    for (let n = 1; n <= times; n++) {
      // The page may have been left between two photos.
      if (camera.current === null || video.current === null) return;
      setFiring(n);
      navigator.vibrate?.(40);
      photos.push(await shoot(camera.current, video.current));
    }
    taken(photos);
  };
  const ready = state === "on" && firing === 0;
  useEffect(() => {
    const pressed = (event: KeyboardEvent) => {
      if (!ready || event.repeat || !fires.has(event.key)) return;
      if (event.target instanceof Element && event.target.closest(own) !== null) return;
      event.preventDefault();
      void fire(1);
    };
    document.addEventListener("keydown", pressed);
    return () => document.removeEventListener("keydown", pressed);
  }, [ready]);
  return (
    <div class="taking stack">
      {problem !== "" && (
        <p class="notice" role="alert">
          {problem}
        </p>
      )}
      <div class="viewer" hidden={state === "off"}>
        <video ref={video} autoplay playsInline muted aria-label={t("camera.label")} />
        {state === "on" && (
          <>
            <p class="say">{t("camera.guide")}</p>
            <div class="guide">
              <Guide />
            </div>
          </>
        )}
        {state === "opening" && <p>{t("camera.opening")}</p>}
      </div>
      {state === "off" && <p class="notice">{t(why)}</p>}
      <div class="shutter stack">
        {state !== "off" && (
          <button type="button" class="button main" disabled={!ready} onClick={() => void fire(1)}>
            <Shape of="camera" /> {t("camera.fire")}
          </button>
        )}
        <div class="pair">
          <label class={state === "off" ? "button main" : "button"}>
            {t("camera.pick")}
            <input
              class="unseen"
              type="file"
              accept={kindsTaken()}
              onChange={(event) => {
                const file = event.currentTarget.files?.[0];
                event.currentTarget.value = "";
                if (file !== undefined) taken([file]);
              }}
            />
          </label>
          {state === "on" && (
            <button type="button" class="button" disabled={firing > 0} onClick={() => void fire(burstOf)}>
              {firing > 0 ? t("camera.burst.at", { n: firing }) : t("camera.burst", { n: burstOf })}
            </button>
          )}
          {hasTorch && (
            <button
              type="button"
              class="button"
              aria-pressed={torch}
              onClick={() => {
                if (camera.current !== null) void light(camera.current, !torch).then(() => setTorch(!torch));
              }}
            >
              {t(torch ? "camera.torch.off" : "camera.torch.on")}
            </button>
          )}
        </div>
      </div>
    </div>
  );
}
