import type {Camera} from '../../shared/camera.js';
import type {OpenShoot} from './open-shoot.js';

/**
 * The same kit, with a camera whose exposures are written down as probes: their frames stay on the camera and must never
 * be taken for an attempt's lost frame, nor for one made by hand.
 * @param attempt whose room is probed; null for a probe outside of attempts
 */
export const journalingProbes = <Kit extends {camera: Camera} & Pick<OpenShoot, 'append'>>(
  kit: Kit,
  attempt: number | null,
): Kit => {
  const {camera, append} = kit;
  const expose: Camera['expose'] = async request => {
    if (attempt !== null) await append({kind: 'probe-begun', attempt});
    const frames = await camera.expose(request);
    await append({kind: 'probe-made', frames});
    return frames;
  };
  return {...kit, camera: {...camera, expose}};
};
