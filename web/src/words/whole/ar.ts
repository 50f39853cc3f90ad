import own from "../ar.json";
import shared from "../shared/ar.json";

export default { ...shared, ...own };
