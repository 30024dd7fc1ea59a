package ordeal_test

func closeBrowser() {}
