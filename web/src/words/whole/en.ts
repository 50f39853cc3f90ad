import own from "../en.json";
import shared from "../shared/en.json";

export default { ...shared, ...own };
