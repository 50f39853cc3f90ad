/** The rear camera, its torch, and one picture at the best size that the device gives. */

export interface Camera {
  stream: MediaStream;
  torch: boolean;
}

/** Opens the rear camera. Throws what the browser throws: no camera, no permission, no secure page. */
export async function open(): Promise<Camera> {
  if (navigator.mediaDevices?.getUserMedia === undefined) throw new DOMException("no camera here", "NotFoundError");
  const stream = await navigator.mediaDevices.getUserMedia({
    audio: false,
    video: { facingMode: { ideal: "environment" }, width: { ideal: 4096 }, height: { ideal: 3072 } },
  });
  const [track] = stream.getVideoTracks();
  const can = (track?.getCapabilities?.() ?? {}) as { torch?: boolean };
  return { stream, torch: can.torch === true };
}

export function close(camera: Camera): void {
  for (const track of camera.stream.getTracks()) track.stop();
}

export async function light(camera: Camera, on: boolean): Promise<void> {
  const [track] = camera.stream.getVideoTracks();
  await track?.applyConstraints({ advanced: [{ torch: on } as MediaTrackConstraintSet] });
}

interface StillCamera {
  takePhoto(): Promise<Blob>;
}

/** Full-size still where the browser has it, else the present picture of the video. */
export async function shoot(camera: Camera, video: HTMLVideoElement): Promise<Blob> {
  const [track] = camera.stream.getVideoTracks();
  const Still = (window as unknown as { ImageCapture?: new (track: MediaStreamTrack) => StillCamera }).ImageCapture;
  if (Still !== undefined && track !== undefined) {
    try {
      return await new Still(track).takePhoto();
    } catch (problem) {
      // Some devices offer stills and then do not give one; the video's picture will do.
      if (!(problem instanceof DOMException)) throw problem;
    }
  }
  const element = document.createElement("canvas");
  element.width = video.videoWidth;
  element.height = video.videoHeight;
  element.getContext("2d")?.drawImage(video, 0, 0);
  return new Promise((done, fail) =>
    element.toBlob(
      (blob) => (blob === null ? fail(new Error("the camera gave no picture")) : done(blob)),
      "image/jpeg",
      0.92,
    ),
  );
}
