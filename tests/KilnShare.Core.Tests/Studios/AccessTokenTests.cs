using CsCheck;
using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Tests.Studios;

/// <summary>The text of a token: RFC 4648, section 5 (base64url), behind a prefix.</summary>
public sealed class AccessTokenTests
{
    [Fact]
    public void A_token_names_the_studio_it_was_made_for() =>
        Gen.Select(Gen.Guid, Gen.Byte.Array[32])
            .Sample((studio, secret) => AccessToken.ReadStudio(AccessToken.Write(new Id<Studio>(studio), secret)) == new Id<Studio>(studio));

    [Fact]
    public void Whatever_else_is_sent_names_none() =>
        Gen.Select(Gen.String, Gen.Bool).Sample((text, prefixed) => AccessToken.ReadStudio((prefixed ? "ks_" : "") + text) is null);

    [Theory]
    [InlineData("x")] // one character more: no whole number of bytes
    [InlineData("xx")]
    [InlineData("====")]
    [InlineData(" ")]
    [InlineData("é")]
    public void A_token_with_something_behind_it_names_none(string more) =>
        Assert.Null(AccessToken.ReadStudio(AccessToken.Write(new Id<Studio>(Guid.NewGuid()), new byte[32]) + more));
}
