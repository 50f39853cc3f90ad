import own from "../fr.json";
import shared from "../shared/fr.json";

export default { ...shared, ...own };
