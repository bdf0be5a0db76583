import {openStudio} from '../../../adapters/studio/studio.js';
import {holdToContract} from '../camera-contract.js';

holdToContract('The studio camera', async () => {
  const {camera, hands} = await openStudio({seed: 3, speed: 40, megapixels: 0.03});
  return {
    camera,
    seconds: 1,
    longSeconds: 600,
    makeStray: () => hands.press(0.5),
    turnDial: async () => hands.turn({iso: 400}),
    takeAway: async () => hands.unplug(),
    bringBack: async () => hands.plug(),
    clear: async () => undefined,
  };
});
